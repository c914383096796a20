"""The office's pages: its own rows, no other's, in a fixed number of queries."""

import pytest
from django.contrib import admin
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fleet.models import (
    Building,
    Change,
    Groove,
    Job,
    Machine,
    Owner,
    Person,
    Rope,
    Sheave,
    TenantRow,
)
from fleet.register.admin.tenant import TenantAdmin
from inspections.models import Reading
from tests import browsers, callers, estates, factories

pytestmark = pytest.mark.django_db

PASSWORD = "a long one, for tests only"
PAGES = sorted(
    model._meta.label_lower.replace(".", "_")
    for model in admin.site._registry
    if issubclass(model, TenantRow) and model._meta.app_label != "reports"
)


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


def test_the_servers_administrator_sees_contractors_and_no_ones_rows(world, settings):
    settings.SUPERUSER_SECOND_FACTOR = False
    found = browsers.confirmed(Person.objects.create_superuser("root"))

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


@pytest.mark.long
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
        "read_version": "1",
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


# What Python's own parser takes, or falls over; and maps that are none of a row's.
ODD_OBJECTS = (
    "[" * 20_000,
    "9" * 5_000,
    "[1]",
    '"ab"',
    '{"a": "\\u0000"}',
    '{"a": "\\ud800"}',
    '{"a": 1e400}',
    '{"nope": {"value": 1, "source": "x"}}',
    '{"nope": "PLATE"}',
    '{"nope": 0.1}',
)


@pytest.mark.parametrize("odd", ODD_OBJECTS)
def test_what_is_no_map_of_the_row_is_refused_at_its_field(world, odd):
    found = browser(world.north)
    callers.confine(world.north)
    building = Building.objects.first()
    machine = Machine.objects.filter(building=building).first()
    of_building = {
        "owner": building.owner_id,
        "name": building.name,
        "code": building.code,
        "time_zone": building.time_zone,
        "criteria_set": building.criteria_set,
    }

    for url, row, fields, names in (
        ("fleet_building_change", building, of_building, ["criteria_overrides"]),
        ("fleet_machine_change", machine, {}, ["sources", "uncertainties"]),
    ):
        for name in names:
            answer = send(found, url, fields | {name: odd}, row.pk)

            assert answer.status_code == 200, (name, answer.status_code)
            assert name in answer.context["adminform"].form.errors, name
            callers.confine(world.north)
            kept = type(row).objects.get(pk=row.pk)
            assert getattr(kept, name) == getattr(row, name)


def test_a_criteria_set_that_nothing_judges_by_is_refused_in_the_form(world):
    found = browser(world.north)
    callers.confine(world.north)
    building = Building.objects.first()

    answer = send(found, "fleet_building_change", {"criteria_set": "EN"}, building.pk)

    assert "criteria_set" in answer.context["adminform"].form.errors


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


# --- two at once ----------------------------------------------------------------------
def owner_form(owner, **fields):
    return {
        "name": owner.name,
        "code": owner.code,
        "language": owner.language,
        "unit_family": owner.unit_family,
        "paper": owner.paper,
        "read_version": owner.version,
        **fields,
    }


def test_the_later_of_two_does_not_take_back_what_the_earlier_changed(world):
    found = browser(world.north)
    callers.confine(world.north)
    read = Owner.objects.get(code="mill")
    send(found, "fleet_owner_change", owner_form(read, email="a@mill.example"), read.pk)

    late = send(found, "fleet_owner_change", owner_form(read, name="Late"), read.pk)

    assert late.status_code == 200
    assert "Someone has changed this" in late.content.decode()
    callers.confine(world.north)
    stored = Owner.objects.get(code="mill")
    assert (stored.name, stored.email) == (read.name, "a@mill.example")


def test_a_change_over_the_api_makes_an_open_form_old_too(world):
    found = browser(world.north)
    callers.confine(world.north)
    read = Owner.objects.get(code="mill")
    callers.call(
        world.north,
        "PATCH",
        f"/api/v1/owners/{read.pk}",
        {"email": "b@mill.example"},
        If_Match="*",
    )

    late = send(found, "fleet_owner_change", owner_form(read, name="Late"), read.pk)

    assert late.status_code == 200
    callers.confine(world.north)
    assert Owner.objects.get(pk=read.pk).name == read.name


def groove_rows(sheave, grooves, **fields):
    """Return the inline part of a sheave's page with one groove changed."""
    found = {
        "grooves-TOTAL_FORMS": len(grooves),
        "grooves-INITIAL_FORMS": len(grooves),
    }
    for number, groove in enumerate(grooves):
        found |= {
            f"grooves-{number}-id": groove.pk,
            f"grooves-{number}-sheave": sheave.pk,
            f"grooves-{number}-number": groove.number,
            f"grooves-{number}-mark": groove.mark,
            f"grooves-{number}-axial_mm": groove.axial_mm,
            f"grooves-{number}-read_version": groove.version,
        }
    return found | fields


def sheave_form(sheave, grooves, **fields):
    page_fields = {
        "machine": sheave.machine_id,
        "fitted_on": sheave.fitted_on,
        "pitch_diameter_new_mm": sheave.pitch_diameter_new_mm,
        "rim_construction": sheave.rim_construction,
        "draft_direction": sheave.draft_direction,
        "read_version": sheave.version,
        "sources": "{}",
        "uncertainties": "{}",
        **no_children("geometries", "rope_sets"),
    }
    return page_fields | groove_rows(sheave, grooves, **fields)


def test_a_childs_old_form_is_refused_and_an_unchanged_one_is_not(world):
    found = browser(world.north)
    callers.confine(world.north)
    sheave = Sheave.objects.first()
    grooves = list(sheave.grooves.order_by("pk"))
    first, second = grooves[:2]
    callers.call(
        world.north,
        "PATCH",
        f"/api/v1/grooves/{first.pk}",
        {"mark": "theirs"},
        If_Match="*",
    )

    mine = sheave_form(sheave, grooves, **{"grooves-0-mark": "mine"})
    late = send(found, "fleet_sheave_change", mine, sheave.pk)
    first.mark = "theirs"
    other = sheave_form(sheave, grooves, **{"grooves-1-mark": "another"})
    beside = send(found, "fleet_sheave_change", other, sheave.pk)

    assert late.status_code == 200
    assert "Someone has changed this" in late.content.decode()
    assert beside.status_code == 302, beside.context["errors"]
    callers.confine(world.north)
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.mark, second.mark) == ("theirs", "another")


# --- out of reach ---------------------------------------------------------------------
@pytest.mark.parametrize("is_typed", [True, False])
def test_a_foreign_id_is_refused_where_it_is_typed_or_chosen(world, is_typed):
    # Without row-level security's help: the form's own choices are the first ring.
    found = browser(world.north)
    callers.confine(world.south)
    foreign_groove, foreign_building = Groove.objects.first(), Building.objects.first()
    callers.confine(world.north)
    rope = Rope.objects.first()
    name = "fleet_rope_change" if is_typed else "fleet_machine_add"
    fields = {
        "rope_set": rope.rope_set_id,
        "number": rope.number,
        "read_version": rope.version,
        "seats-TOTAL_FORMS": "1",
        "seats-INITIAL_FORMS": "0",
        "seats-0-rope": rope.pk,
        "seats-0-groove": foreign_groove.pk,
    }
    arguments = (rope.pk,) if is_typed else ()

    answer = send(
        found,
        name,
        fields if is_typed else machine_form(foreign_building),
        *arguments,
    )

    assert answer.status_code == 200
    assert "Select a valid choice" in answer.content.decode()


def test_the_choices_of_every_page_leave_foreign_rows_out_by_themselves(world, rf):
    request = rf.get("/")
    request.scope = world.north.scope()
    looked_at = 0
    for model, page_of in admin.site._registry.items():
        if not isinstance(page_of, TenantAdmin):
            continue
        for each in (page_of, *page_of.get_inline_instances(request)):
            for field in each.model._meta.fields:
                target = field.related_model
                if target is None or not issubclass(target, TenantRow):
                    continue
                offered = each.formfield_for_foreignkey(field, request).queryset
                callers.confine(world.south)
                assert not offered.all().exists(), (model, field)
                looked_at += 1

    assert looked_at > 15


# --- many rows at once, and what was changed ------------------------------------------
def act(found, name, action, *rows):
    chosen = {"action": action, "_selected_action": [row.pk for row in rows]}
    return send(found, f"{name}_changelist", chosen)


def test_chosen_machines_are_retired_and_foreign_ones_are_not(world):
    found = browser(world.north)
    callers.confine(world.south)
    foreign = Machine.objects.first()
    callers.confine(world.north)
    own = Machine.objects.first()

    act(found, "fleet_machine", "retire", own, foreign)

    callers.confine(world.north)
    own.refresh_from_db()
    assert own.retired_on is not None
    assert own.version == 2
    callers.confine(world.south)
    foreign.refresh_from_db()
    assert foreign.retired_on is None


def test_chosen_machines_are_assessed_again(world):
    found = browser(world.north)
    callers.confine(world.north)
    own = Machine.objects.first()
    Job.objects.all().delete()

    act(found, "fleet_machine", "assess", own)

    assert [job.subject_id for job in Job.objects.all()] == [own.pk]


def test_nothing_is_deleted_by_an_action(world):
    found = browser(world.north)
    callers.confine(world.north)
    own = Machine.objects.first()

    act(found, "fleet_machine", "delete_selected", own)

    callers.confine(world.north)
    assert Machine.objects.filter(pk=own.pk).exists()


def test_a_change_in_a_form_has_the_machine_assessed(world):
    found = browser(world.north)
    callers.confine(world.north)
    sheave = Sheave.objects.first()
    grooves = list(sheave.grooves.order_by("pk"))
    Job.objects.all().delete()

    fields = sheave_form(sheave, grooves, **{"grooves-0-mark": "x"})
    assert send(found, "fleet_sheave_change", fields, sheave.pk).status_code == 302

    assert [job.subject_id for job in Job.objects.all()] == [sheave.machine_id]


def test_a_rows_history_is_what_the_database_wrote_down(world):
    found = browser(world.north)
    callers.confine(world.north)
    owner = Owner.objects.get(code="mill")
    callers.call(
        world.north,
        "PATCH",
        f"/api/v1/owners/{owner.pk}",
        {"name": "Old Mill"},
        If_Match="*",
    )

    answer = page(found, "fleet_owner_history", owner.pk)
    factories.forget_tenant()
    listed = found.get(answer["Location"]).content.decode()

    assert listed.count("field-via") == 2
    assert f"PATCH /api/v1/owners/{owner.pk}" in listed
    assert "north-office" in listed


def test_the_history_of_a_foreign_row_is_not_there(world):
    found = browser(world.north)
    callers.confine(world.south)
    foreign = Owner.objects.first()

    answer = page(found, "fleet_owner_history", foreign.pk)

    assert answer["Location"] == "/admin/"


def test_the_log_of_changes_is_only_looked_at(world):
    found = browser(world.north)
    callers.confine(world.north)
    line = Change.objects.first()

    assert page(found, "fleet_change_change", line.pk).status_code == 200
    assert page(found, "fleet_change_add").status_code == 403
    assert send(found, "fleet_change_change", {"via": "x"}, line.pk).status_code == 403
    assert (
        send(found, "fleet_change_delete", {"post": "yes"}, line.pk).status_code == 403
    )
