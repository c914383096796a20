"""A logged-in person's requests are confined like a device's."""

from datetime import date

import pytest
from django.test import Client

from fleet.models import Machine, Owner, Person
from fleet.platform.access import middleware
from fleet.platform.database import tenancy
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def world():
    return estates.world()


def browser(person, **how):
    found = Client(raise_request_exception=False, **how)
    factories.forget_tenant()
    found.force_login(person)
    return found


def office(cast):
    return cast.memberships["OFFICE"].person


def read(found, path="machines"):
    factories.forget_tenant()
    return found.get(f"/api/v1/{path}")


def test_a_session_reads_its_own_contractors_rows(world):
    answer = read(browser(office(world.north)))

    seen = {row["id"] for row in answer.json()["results"]}
    assert seen == world.visible(Machine, world.north, "OFFICE")


def test_an_owners_reader_sees_the_own_buildings_by_session_too(world):
    answer = read(browser(world.north.memberships["OWNER_READER"].person))

    seen = {row["id"] for row in answer.json()["results"]}
    assert seen == world.visible(Machine, world.north, "OWNER_READER")


def test_a_person_without_a_membership_reads_nothing(world, settings):
    settings.SUPERUSER_SECOND_FACTOR = False
    answer = read(browser(Person.objects.create_superuser("root")))

    assert callers.is_problem(answer, 403, "permission-denied")


@pytest.mark.parametrize("end", ["membership", "contractor"])
def test_a_session_ends_with_the_membership_or_the_contractor(world, end):
    found = browser(office(world.north))
    membership = world.north.memberships["OFFICE"]
    if end == "membership":
        membership.deactivated_at = factories.NOW
        membership.save()
    else:
        world.north.contractor.retired_on = date(2026, 1, 1)
        world.north.contractor.save()

    assert callers.is_problem(read(found), 403, "permission-denied")


def test_a_change_by_session_needs_the_pages_own_mark(world):
    # A page of another site cannot write with the office's cookie.
    found = browser(office(world.north), enforce_csrf_checks=True)

    answer = found.post(
        "/api/v1/owners", {"name": "X", "code": "x"}, content_type="application/json"
    )

    assert callers.is_problem(answer, 403, "permission-denied")
    callers.confine(world.north)
    assert not Owner.objects.filter(code="x").exists()


def test_a_devices_token_decides_where_a_session_is_sent_along(world):
    found = browser(office(world.north))
    factories.forget_tenant()

    answer = found.get("/api/v1/machines", headers=world.south.headers())

    seen = {row["id"] for row in answer.json()["results"]}
    assert seen == world.visible(Machine, world.south, "OFFICE")


def test_a_broken_token_is_not_saved_by_a_session(world):
    found = browser(office(world.north))

    answer = found.get(
        "/api/v1/machines", headers={"Authorization": "Bearer rseat_x_y"}
    )

    assert callers.is_problem(answer, 401, "authentication-failed")


@pytest.mark.django_db(transaction=True)
def test_the_sessions_setting_is_gone_after_the_request():
    cast = factories.cast()
    found = Client()
    found.force_login(office(cast))

    assert len(found.get("/api/v1/owners").json()["results"]) == 2

    assert Owner.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_a_page_that_fails_stores_nothing(monkeypatch):
    cast = factories.cast()

    def half_done(self, request, *_, **__):
        Owner.objects.update(name="half done")
        raise RuntimeError

    monkeypatch.setattr("fleet.register.api.views.OwnerViewSet.list", half_done)
    found = Client(raise_request_exception=False)
    found.force_login(office(cast))

    assert found.get("/api/v1/owners").status_code == 500

    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        assert not Owner.objects.filter(name="half done").exists()


def test_a_scope_says_who_and_how_far(north):
    membership = north.memberships["OWNER_READER"]

    found = middleware.scope_of(membership, token_id=7)

    assert (found.contractor_id, found.owner_id, found.token_id) == (
        north.contractor.pk,
        membership.owner_id,
        7,
    )
