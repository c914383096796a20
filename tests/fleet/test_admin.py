"""The office's pages: its own rows, no other's, in a fixed number of queries."""

import pytest
from django.contrib import admin
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fleet.models import Building, Machine, Owner, Person, Sheave, TenantRow
from inspections.models import Reading
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db

PASSWORD = "a long one, for tests only"
PAGES = sorted(
    model._meta.label_lower.replace(".", "_")
    for model in admin.site._registry
    if issubclass(model, TenantRow) and model._meta.app_label != "reports"
)


@pytest.fixture
def world():
    return estates.world()


def browser(cast, role="OFFICE"):
    person = cast.memberships[role].person
    person.set_password(PASSWORD)
    person.save()
    found = Client(raise_request_exception=False)
    factories.forget_tenant()
    assert found.login(username=person.username, password=PASSWORD)
    return found


def page(found, name, *arguments):
    factories.forget_tenant()
    return found.get(reverse(f"admin:{name}", args=arguments))


def send(found, name, fields, *arguments):
    factories.forget_tenant()
    return found.post(reverse(f"admin:{name}", args=arguments), fields)


def no_children(*prefixes):
    return {
        f"{prefix}-{part}": "0"
        for prefix in prefixes
        for part in ("TOTAL_FORMS", "INITIAL_FORMS")
    }


def machine_form(building, **fields):
    return {
        "building": building.pk,
        "code": "NEW-1",
        "name": "New lift",
        "drive_kind": "GEARED",
        "roping_ratio": "1",
        "wrap": "SINGLE",
        "stalled_drive": "UNKNOWN",
        "sources": "{}",
        "uncertainties": "{}",
        **no_children("sheaves", "pulleys"),
        **fields,
    }


# --- who gets in ----------------------------------------------------------------------
def test_the_office_logs_in_and_finds_its_pages(world):
    answer = page(browser(world.north), "index")

    assert answer.status_code == 200
    for heading in ("Machines", "Buildings", "Readings", "Findings"):
        assert heading in answer.content.decode()
    for heading in ("Contractors", "Tokens", "Persons"):
        assert heading not in answer.content.decode()


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_the_others_do_not_get_in(world, role):
    answer = page(browser(world.north, role), "fleet_machine_changelist")

    assert answer.status_code == 302
    assert "/admin/login/" in answer["Location"]


def test_someone_who_has_left_the_office_sees_nothing(world):
    found = browser(world.north)
    membership = world.north.memberships["OFFICE"]
    membership.deactivated_at = factories.NOW
    membership.save()

    assert page(found, "fleet_machine_changelist").status_code == 403


def test_the_servers_administrator_sees_contractors_and_no_ones_rows(world):
    Person.objects.create_superuser("root", password=PASSWORD)
    found = Client()
    found.login(username="root", password=PASSWORD)

    listed = page(found, "fleet_contractor_changelist").content.decode()

    assert "North Lifts" in listed
    assert "South Lifts" in listed
    assert page(found, "fleet_machine_changelist").status_code == 403


# --- lists ----------------------------------------------------------------------------
def test_every_list_shows_own_rows_only(world):
    found = browser(world.north)
    callers.confine(world.south)
    Machine.objects.update(name="CANARY")
    Owner.objects.update(name="CANARY")

    for name in PAGES:
        for suffix in ("", "?q=canary"):
            factories.forget_tenant()
            answer = found.get(reverse(f"admin:{name}_changelist") + suffix)
            assert answer.status_code == 200, name
            assert "CANARY" not in answer.content.decode(), name


def test_every_list_needs_as_many_queries_for_many_rows_as_for_few(world):
    found = browser(world.north)
    few = {name: queries(found, name) for name in PAGES}
    estates.grow(world.north, machines=20)

    assert {name: queries(found, name) for name in PAGES} == few


def queries(found, name):
    page(found, f"{name}_changelist")
    with CaptureQueriesContext(connection) as captured:
        assert page(found, f"{name}_changelist").status_code == 200
    return len(captured)


def test_a_sheaves_page_shows_geometry_grooves_and_ropes_in_few_queries(world):
    found = browser(world.north)
    callers.confine(world.north)
    sheave = Sheave.objects.first()

    with CaptureQueriesContext(connection) as captured:
        answer = page(found, "fleet_sheave_change", sheave.pk)

    assert answer.status_code == 200
    for heading in ("Sheave geometries", "Grooves", "Rope sets"):
        assert heading.lower() in answer.content.decode().lower(), heading
    assert len(captured) <= 30


@pytest.mark.parametrize("name", PAGES)
def test_the_page_of_a_foreign_row_is_not_there(world, name):
    found = browser(world.north)
    model = next(
        m for m in admin.site._registry if m._meta.label_lower.replace(".", "_") == name
    )
    callers.confine(world.south)
    foreign = model.objects.first().pk
    callers.confine(world.north)
    own = model.objects.first().pk

    assert page(found, f"{name}_change", own).status_code == 200
    # Django leads an unknown id back to the index, with a message.
    assert page(found, f"{name}_change", foreign).status_code == 302


# --- changing -------------------------------------------------------------------------
def test_the_office_adds_a_machine_to_its_own_contractor(world):
    found = browser(world.north)
    callers.confine(world.north)
    building = Building.objects.first()

    answer = send(found, "fleet_machine_add", machine_form(building))

    assert answer.status_code == 302, answer.context["adminform"].form.errors
    callers.confine(world.north)
    assert Machine.objects.get(code="NEW-1").contractor == world.north.contractor


def test_a_change_counts_as_a_version(world):
    found = browser(world.north)
    callers.confine(world.north)
    owner = Owner.objects.first()
    fields = {
        "name": "Renamed",
        "code": owner.code,
        "language": "en",
        "unit_family": "METRIC",
        "paper": "A4",
    }

    answer = send(found, "fleet_owner_change", fields, owner.pk)

    assert answer.status_code == 302
    callers.confine(world.north)
    owner.refresh_from_db()
    assert (owner.name, owner.version) == ("Renamed", 2)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"code": "MH-1"}, "__all__"),
        ({"car_mass_kg": "-5"}, "__all__"),
        ({"car_mass_kg": "1_000"}, "car_mass_kg"),
        ({"car_mass_kg": "١٢"}, "car_mass_kg"),
        ({"car_mass_kg": "nan"}, "car_mass_kg"),
        ({"car_mass_kg": "1,5"}, "car_mass_kg"),
        ({"roping_ratio": "9"}, "__all__"),
    ],
)
def test_what_must_not_be_is_said_in_the_form(world, fields, field):
    found = browser(world.north)
    callers.confine(world.north)
    building = Building.objects.first()

    answer = send(found, "fleet_machine_add", machine_form(building, **fields))

    assert answer.status_code == 200, answer.content[:300]
    assert field in answer.context["adminform"].form.errors


def test_a_foreign_building_cannot_be_chosen(world):
    found = browser(world.north)
    callers.confine(world.south)
    foreign = Building.objects.first()

    answer = send(found, "fleet_machine_add", machine_form(foreign))

    assert answer.status_code == 200
    assert "building" in answer.context["adminform"].form.errors


def test_choices_hold_own_rows_only(world):
    found = browser(world.north)
    callers.confine(world.north)
    own = {str(pk) for pk in Building.objects.values_list("pk", flat=True)}
    factories.forget_tenant()

    answer = found.get(
        reverse("admin:autocomplete"),
        {"app_label": "fleet", "model_name": "machine", "field_name": "building"},
    )

    assert {choice["id"] for choice in answer.json()["results"]} == own


def test_a_time_zone_is_checked_in_the_form(world):
    found = browser(world.north)
    callers.confine(world.north)
    building = Building.objects.first()
    fields = {
        "owner": building.owner_id,
        "name": "X",
        "code": "x",
        "time_zone": "Mars/Base",
        "criteria_set": "EN_81_20",
        "criteria_overrides": "{}",
    }

    answer = send(found, "fleet_building_change", fields, building.pk)

    assert "time_zone" in answer.context["adminform"].form.errors


def test_nothing_is_deleted_and_no_reading_is_edited(world):
    found = browser(world.north)
    callers.confine(world.north)
    machine, reading = Machine.objects.first(), Reading.objects.first()

    assert (
        send(found, "fleet_machine_delete", {"post": "yes"}, machine.pk).status_code
        == 403
    )
    assert page(found, "inspections_reading_add").status_code == 403
    changed = send(found, "inspections_reading_change", {"note": "x"}, reading.pk)
    assert changed.status_code == 403
