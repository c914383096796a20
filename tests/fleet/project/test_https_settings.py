"""What is said of HTTPS, and what of it can be said apart (ASVS 5.0, 3.4.1)."""

import json
import os
import subprocess
import sys

import pytest

from fleet.platform.api.https_only import RefusePlain
from tests.fleet.installation import ROOT

_COOKIES = """
from fleet.project import settings as s
print(s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME, s.LANGUAGE_COOKIE_NAME)
"""
_SAY = """
from fleet.project import settings as s
print(s.SECURE_HSTS_SECONDS, s.SECURE_HSTS_INCLUDE_SUBDOMAINS, s.SECURE_SSL_REDIRECT)
"""


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "31536000 True True"),
        ({"HSTS_SUBDOMAINS": "no"}, "31536000 False True"),
        ({"HSTS_SECONDS": "2592000"}, "2592000 True True"),
        ({"HTTPS": "no"}, "0 False False"),
    ],
)
def test_names_below_this_one_are_bound_to_https_only_where_that_is_meant(given, said):
    assert answer_of(_SAY, given) == said


@pytest.mark.parametrize(("https", "prefix"), [({}, "__Host-"), ({"HTTPS": "no"}, "")])
def test_over_https_no_other_host_can_set_a_cookie_of_ours(https, prefix):
    names = answer_of(_COOKIES, https).split()

    assert names == [
        f"{prefix}{name}" for name in ("sessionid", "csrftoken", "django_language")
    ]


def answer_of(asked, given):
    """Return what a program of its own prints of the settings."""
    names = ("HTTPS", "HSTS_SUBDOMAINS", "HSTS_SECONDS")
    kept = {n: v for n, v in os.environ.items() if n not in names}
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", asked],
        cwd=ROOT,
        env=kept | given,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


@pytest.mark.parametrize("path", ["/api/v1/machines", "/api/v1/uploads", "/metrics"])
def test_a_program_without_https_is_told_so_and_not_led_on(settings, rf, path):
    settings.SECURE_SSL_REDIRECT = True

    answer = RefusePlain(lambda _: pytest.fail("it went in"))(rf.post(path))

    assert answer.status_code == 403
    assert json.loads(answer.content)["code"] == "https-required"
    assert "Location" not in answer


@pytest.mark.parametrize(
    ("path", "asked"),
    [
        ("/machines", {"secure": False}),
        ("/health/live", {"secure": False}),
        ("/api/v1/machines", {"secure": True}),
    ],
)
def test_browsers_health_and_https_go_on(settings, rf, path, asked):
    settings.SECURE_SSL_REDIRECT = True

    assert RefusePlain(lambda _: "went on")(rf.get(path, **asked)) == "went on"


def test_a_client_is_refused_by_the_whole_service(settings, client):
    settings.SECURE_SSL_REDIRECT = True

    refused = client.get("/api/v1/machines", headers={"Authorization": "Bearer x"})

    assert refused.status_code == 403
    assert refused["Content-Type"] == "application/problem+json"
    assert client.get("/log-in").status_code == 301
