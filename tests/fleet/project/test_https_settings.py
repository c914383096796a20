"""What is said of HTTPS, and what of it can be said apart (ASVS 5.0, 3.4.1)."""

import os
import subprocess
import sys

import pytest

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
