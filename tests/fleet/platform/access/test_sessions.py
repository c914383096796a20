"""How long a session lasts, and when it must confirm who it is."""

from datetime import timedelta

import pytest
import time_machine
from django.contrib.sessions.models import Session as SavedSession
from django.utils import timezone

from fleet.models import Membership, Token
from fleet.platform.access import sessions
from tests import browsers, callers, factories
from tests.browsers import get, log_in, post

pytestmark = pytest.mark.django_db

EXPORT = "/api/v1/exports/owners.csv"
FILES = (EXPORT, "/api/v1/exports/everything.zip", "/api/v1/due-works/csv")
ASKED = {"device": "x", "scopes": ["READ"]}


@pytest.fixture
def clock():
    with time_machine.travel(timezone.now(), tick=False) as moved:
        yield moved


@pytest.fixture
def browser(north, clock):
    return log_in(north.memberships["OFFICE"].person)


def test_an_idle_session_ends(browser, clock):
    clock.shift(timedelta(minutes=61))

    answer = get(browser, "/api/v1/machines")

    assert callers.is_problem(answer, 401, "not-authenticated")
    assert get(browser, "/account")["Location"].startswith("/log-in")


@pytest.mark.parametrize(
    ("path", "headers"),
    [
        ("/reports", {"Ropeseat-Again": "1"}),
        # The technician's page stands open in another tab of the same browser.
        ("/api/v1/field/machines", {"Ropeseat-Phone": "7"}),
        ("/field/worker.js", {}),
        ("/field/", {}),
    ],
)
def test_what_a_browser_asks_by_itself_keeps_no_session(browser, clock, path, headers):
    for _ in range(2):
        clock.shift(timedelta(minutes=31))
        browser.get(path, headers=headers)

    assert get(browser, "/account")["Location"].startswith("/log-in")


def test_what_was_under_way_when_another_tab_confirmed_is_answered_as_it_went(
    browser, clock, monkeypatch
):
    def renamed_meanwhile(request, *, at):
        request.session["seen_at"] = at.timestamp()
        SavedSession.objects.filter(pk=request.session.session_key).delete()

    monkeypatch.setattr(sessions, "note_use", renamed_meanwhile)

    answer = get(browser, "/api/v1/machines")
    after = get(browser, "/api/v1/machines")

    assert answer.status_code == 200
    assert callers.is_problem(after, 401, "not-authenticated")
    assert not SavedSession.objects.exists()


def test_a_session_in_use_lasts_and_ends_at_its_age_all_the_same(browser, clock):
    answers = []
    for _ in range(13):
        clock.shift(timedelta(minutes=59))
        answers.append(get(browser, "/api/v1/machines").status_code)

    assert answers == [200] * 12 + [401]


@pytest.mark.parametrize("path", FILES)
def test_files_are_given_to_whoever_has_just_confirmed(browser, clock, path):
    fresh = get(browser, path)
    clock.shift(timedelta(minutes=16))
    stale = get(browser, path)
    post(browser, "/api/v1/confirm-password", {"password": browsers.PASSWORD})
    again = get(browser, path)

    assert (fresh.status_code, again.status_code) == (200, 200)
    assert callers.is_problem(stale, 403, "confirm-again")


def test_with_a_factor_the_password_alone_confirms_nothing(browser, clock):
    secret, _ = browsers.set_up_codes(browser)
    clock.shift(timedelta(minutes=16))
    post(browser, "/api/v1/confirm-password", {"password": browsers.PASSWORD})

    stale = get(browser, EXPORT)
    post(browser, f"{browsers.PATH}/verify", {"code": browsers.code(secret)})

    assert callers.is_problem(stale, 403, "confirm-again")
    assert get(browser, EXPORT).status_code == 200


def test_people_keys_and_the_contractor_are_changed_after_confirming(
    browser, north, clock
):
    clock.shift(timedelta(minutes=16))
    person = north.memberships["TECHNICIAN"].pk
    factories.forget_tenant()

    refused = [
        post(browser, "/api/v1/people", {}),
        post(browser, f"/api/v1/people/{person}/deactivate"),
        post(browser, "/api/v1/tokens", ASKED),
        browser.patch("/api/v1/contractor", content_type="application/json"),
    ]

    for answer in refused:
        assert callers.is_problem(answer, 403, "confirm-again")
    assert Membership.objects.get(pk=person).deactivated_at is None
    assert not Token.objects.filter(device="x").exists()
    # What is only looked at, and what ends a lost key, goes on.
    assert get(browser, "/api/v1/people").status_code == 200
    token = Token.objects.get(membership_id=person)
    assert post(browser, f"/api/v1/tokens/{token.pk}/revoke").status_code == 200


def test_wrong_passwords_are_counted_here_too(browser, settings):
    settings.LOGIN_TRIES = 2
    path = "/api/v1/confirm-password"
    answers = [post(browser, path, {"password": "no"}).status_code for _ in range(3)]

    assert answers == [403, 403, 429]


def test_a_log_in_forgets_a_factor_that_was_shown_before(browser, north):
    secret, _ = browsers.set_up_codes(browser)
    assert secret
    factories.forget_tenant()

    person = north.memberships["OFFICE"].person
    browser.post(
        "/log-in", {"username": person.username, "password": "four plain words here"}
    )

    answer = get(browser, "/api/v1/machines")
    assert callers.is_problem(answer, 403, "second-factor-required")
