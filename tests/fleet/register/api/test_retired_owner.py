"""With a building owner their readers lose everything, at every door, at once."""

from datetime import date

import pytest

from fleet.models import Owner
from tests import browsers, callers, factories

pytestmark = pytest.mark.django_db

PATHS = (
    "me",
    "machines",
    "findings",
    "planned-works",
    "due-works",
    "due-works/csv",
    "reports",
    "people",
    "tokens",
    "exports/machines.csv",
    "exports/findings.jsonl",
    "exports/everything.zip",
)


@pytest.fixture
def world(world):
    callers.confine(world.north)
    return world


def retire(cast):
    callers.confine(cast)
    Owner.objects.filter(code="mill").update(retired_on=date(2026, 1, 1))


def logged_in(cast, role):
    person = cast.memberships[role].person
    person.refresh_from_db()
    return browsers.confirmed(person)


def by_session(browser, path):
    factories.forget_tenant()
    return browser.get(f"/api/v1/{path}")


def test_a_readers_key_and_session_end_with_the_owner(world):
    browser = logged_in(world.north, "OWNER_READER")
    for path in PATHS:
        how = {"role": "OWNER_READER"}
        answer = callers.call(world.north, "GET", f"/api/v1/{path}", **how)
        assert answer.status_code == 200, path
        assert by_session(browser, path).status_code == 200, path

    retire(world.north)

    for path in PATHS:
        answer = callers.call(
            world.north, "GET", f"/api/v1/{path}", role="OWNER_READER"
        )
        assert callers.is_problem(answer, 401, "authentication-failed"), path
        assert by_session(browser, path).status_code == 401, path
    callers.confine(world.north)
    machine = factories.machine(world.north.scope())
    for path in (f"machines/{machine.pk}", f"machines/{machine.pk}/page"):
        how = {"role": "OWNER_READER"}
        answer = callers.call(world.north, "GET", f"/api/v1/{path}", **how)
        assert answer.status_code == 401


def test_nobody_else_loses_anything(world):
    retire(world.north)

    for role in ("OFFICE", "TECHNICIAN"):
        answer = callers.call(world.north, "GET", "/api/v1/machines", role=role)
        assert len(answer.json()["results"]) == 2
    south = callers.call(world.south, "GET", "/api/v1/machines", role="OWNER_READER")
    assert len(south.json()["results"]) == 1


def test_with_the_owner_only_a_new_log_in_comes_back_and_no_old_key(world):
    browser = logged_in(world.north, "OWNER_READER")
    retire(world.north)
    callers.confine(world.north)
    Owner.objects.update(retired_on=None)

    key = callers.call(world.north, "GET", "/api/v1/machines", role="OWNER_READER")
    session = by_session(browser, "machines")
    again = by_session(logged_in(world.north, "OWNER_READER"), "machines")

    assert callers.is_problem(key, 401, "authentication-failed")
    assert session.status_code == 401
    assert len(again.json()["results"]) == 1


@pytest.mark.parametrize("pk", ["1_0", "%EF%BC%91", "+1", "1.0", " 1"])
def test_what_is_no_number_is_no_job(world, pk):
    answer = callers.call(world.north, "GET", f"/api/v1/jobs/{pk}")

    assert callers.is_problem(answer, 404, "not-found")
