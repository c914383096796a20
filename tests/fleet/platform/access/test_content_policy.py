"""Nothing inline, nothing from elsewhere: the policy, and pages that keep to it."""

import re
from html.parser import HTMLParser

import pytest
from django.contrib import admin
from django.http import HttpResponse
from django.urls import reverse

from fleet.models import Person
from fleet.platform.access.content_policy import HEADER, SayPolicy
from tests import browsers, callers, estates, factories
from tests.browsers import get

pytestmark = pytest.mark.django_db


class Inline(HTMLParser):
    """Collects what the policy would keep a browser from doing."""

    def __init__(self):
        super().__init__()
        self.seen = []

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "script" and not given.get("src", "").startswith("/"):
            self.seen.append(tag)
        if tag in ("link", "img") and not re.match(
            "/|data:image/", given.get("href") or given.get("src") or "/"
        ):
            self.seen.append(tag)
        if tag == "style" or "style" in given:
            self.seen.append(f"style of {tag}")
        self.seen += [name for name in given if name.startswith("on")]


def inline(answer):
    parser = Inline()
    parser.feed(answer.content.decode())
    return parser.seen


def policy(answer):
    return dict(part.strip().split(" ", 1) for part in answer[HEADER].split(";"))


def test_a_page_takes_scripts_and_styles_from_this_server_alone(client):
    found = policy(client.get("/log-in"))

    assert found["default-src"] == "'none'"
    assert found["script-src"] == found["style-src"] == "'self'"
    assert found["frame-ancestors"] == found["base-uri"] == "'none'"
    assert found["object-src"] == "'none'"
    assert found["form-action"] == "'self'"


@pytest.mark.parametrize(
    "path", ["/api/v1/owners", "/api/v1/exports/owners.csv", "/nowhere", "/metrics"]
)
def test_whatever_is_no_page_loads_nothing(north, path):
    answer = callers.call(north, "GET", path)

    found = policy(answer)
    assert set(found) == {"default-src", "object-src", "base-uri", "frame-ancestors"}
    assert set(found.values()) == {"'none'"}


def test_a_document_loads_nothing(rf):
    def answer(_):
        return HttpResponse(b"%PDF-1.7", content_type="application/pdf")

    found = policy(SayPolicy(answer)(rf.get("/")))

    assert found["default-src"] == found["object-src"] == found["base-uri"] == "'none'"


def test_static_files_have_one_too(client):
    answer = client.get("/static/people/passkey.js")
    answer.close()

    assert answer.status_code == 200
    assert answer[HEADER].startswith("default-src 'none'")


# The list's own style where it has no actions: without it a column is narrower.
COSMETIC = ["style of style"]


def test_the_offices_pages_hold_nothing_inline(settings):
    settings.SUPERUSER_SECOND_FACTOR = False
    world = estates.world()
    office = browsers.confirmed(world.north.memberships["OFFICE"].person)
    root = browsers.confirmed(Person.objects.create_superuser("root"))
    looked_at = 0
    for model in admin.site._registry:
        named = f"admin:{model._meta.app_label}_{model._meta.model_name}"
        is_tenants = hasattr(model, "contractor_id")
        browser = office if is_tenants else root
        if is_tenants:
            callers.confine(world.north)
        row = model.objects.first()
        paths = [reverse(f"{named}_changelist")]
        if row is not None:
            paths.append(reverse(f"{named}_change", args=[row.pk]))
        for path in paths:
            answer = get(browser, path)
            if answer.status_code == 200:
                looked_at += 1
                assert inline(answer) in ([], COSMETIC), path

    assert looked_at > 25


@pytest.mark.parametrize(
    "path", ["/account", "/account/second-factor", "/account/password", "/confirm"]
)
def test_peoples_pages_hold_nothing_inline(north, path):
    browser = browsers.confirmed(north.memberships["OFFICE"].person)

    answer = get(browser, path)

    assert answer.status_code == 200
    assert inline(answer) == []


def test_the_page_that_asks_for_a_passkey_holds_nothing_inline(north):
    person = north.memberships["OFFICE"].person
    browsers.set_up_codes(browsers.log_in(person))
    factories.forget_tenant()

    answer = get(browsers.log_in(person), "/second-factor")

    assert answer.status_code == 200
    assert inline(answer) == []


def test_something_inline_would_be_seen():
    class Answer:
        content = b'<script>x</script><a onclick="x" style="x"></a><style></style>'

    assert inline(Answer()) == ["script", "style of a", "onclick", "style of style"]
