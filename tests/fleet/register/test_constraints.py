"""What must never be: append-only tables, ranges, periods."""

from datetime import date

import pytest
from django.db import IntegrityError, ProgrammingError, transaction

from fleet.models import Contractor, RopeInGroove
from inspections.models import Reading, ReadingReview
from tests import callers, factories
from tests.fleet.plain_sql import commit_checks, rows

pytestmark = pytest.mark.django_db


# --- append-only ----------------------------------------------------------------------
@pytest.mark.parametrize("model", [Reading, ReadingReview])
@pytest.mark.parametrize(
    "change",
    [lambda rows: rows.update(version=2), lambda rows: rows._raw_delete("default")],
)
def test_readings_and_reviews_are_never_changed(world, model, change):
    callers.confine(world.north)

    with (
        pytest.raises(ProgrammingError, match="permission denied"),
        transaction.atomic(),
    ):
        change(model.objects.filter(contractor=world.north.contractor))


def test_not_even_the_owner_of_the_table_changes_history():
    # The trigger stands behind the right: it holds for every role.
    found = rows(
        "SELECT tgrelid::regclass::text, tgenabled FROM pg_trigger "
        "WHERE tgname = 'append_only'"
    )

    assert set(found) == {
        ("inspections_reading", "O"),
        ("inspections_readingreview", "O"),
        ("inspections_terms", "O"),
        ("inspections_plannedstep", "O"),
        ("inspections_stopevent", "O"),
        ("inspections_visitmove", "O"),
        ("inspections_handedrow", "O"),
        ("fleet_change", "O"),
    }


# --- what must never be; plain SQL as the app role (faults 16 and 35) -----------------
@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "0", "-1", "1e13"])
def test_a_mass_that_cannot_be_is_refused_by_the_database(world, value):
    callers.confine(world.north)

    with pytest.raises(IntegrityError, match="machine_positive"), transaction.atomic():
        rows("UPDATE fleet_machine SET car_mass_kg = %s RETURNING id", float(value))


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("fleet_machine", "compensation_mass_kg_m", "NaN"),
        ("fleet_machine", "tension_device_mass_kg", "-1"),
        ("fleet_machine", "wrap_angle_deg", "59"),
        ("fleet_machine", "balance_ratio", "1.01"),
        ("fleet_machine", "roping_ratio", "0"),
        ("fleet_sheave", "draft_deg", "11"),
        ("fleet_sheave", "draft_high_deg", "NaN"),
        ("fleet_sheavegeometry", "groove_angle_deg", "91"),
        ("fleet_sheavegeometry", "undercut_angle_deg", "-1"),
        ("fleet_sheavegeometry", "slot_taper_deg", "Infinity"),
        ("fleet_sheave", "land_diameter_mm", "0"),
        ("fleet_sheave", "web_axial_mm", "-1"),
        ("fleet_sheave", "bolt_hole_diameter_mm", "NaN"),
        ("inspections_gauge", "repeatability_mm", "51"),
        ("fleet_groove", "axial_mm", "-0.1"),
        ("fleet_groove", "number", "25"),
        ("fleet_pulley", "offset_x_mm", "NaN"),
        ("fleet_pulley", "diameter_mm", "0"),
        ("fleet_ropeset", "ropes_count", "0"),
        ("fleet_ropeset", "nominal_diameter_mm", "NaN"),
        ("fleet_rope", "number", "21"),
    ],
)
def test_a_value_out_of_range_is_refused_by_the_database(world, table, column, value):
    callers.confine(world.north)

    with pytest.raises(IntegrityError, match="check constraint"), transaction.atomic():
        rows(
            f'UPDATE "{table}" SET "{column}" = %s::text::float8 '
            f'WHERE id = (SELECT min(id) FROM "{table}") RETURNING id',
            value,
        )


def test_no_two_sheaves_or_rope_sets_run_at_a_time(world):
    callers.confine(world.north)
    machine = factories.machine(world.north.scope())
    sheave = machine.sheaves.get()

    with (
        pytest.raises(IntegrityError, match="sheave_one_at_a_time"),
        transaction.atomic(),
    ):
        machine.sheaves.create(
            contractor=world.north.contractor, fitted_on=date(2024, 1, 1)
        )
    with (
        pytest.raises(IntegrityError, match="rope_set_one_at_a_time"),
        transaction.atomic(),
    ):
        sheave.rope_sets.create(
            contractor=world.north.contractor,
            machine=machine,
            fitted_on=date(2024, 1, 1),
            ropes_count=5,
            nominal_diameter_mm=13,
        )


def test_no_two_rope_sets_hang_on_a_machine_whatever_their_sheaves(world):
    callers.confine(world.north)
    machine = factories.machine(world.north.scope())
    machine.sheaves.update(retired_on=date(2024, 1, 1))
    own = {"contractor": world.north.contractor, "fitted_on": date(2024, 1, 1)}
    new = machine.sheaves.create(**own)
    ropes = {"machine": machine, "ropes_count": 5, "nominal_diameter_mm": 13}

    with (
        pytest.raises(IntegrityError, match="rope_set_one_on_a_machine"),
        transaction.atomic(),
    ):
        new.rope_sets.create(**own, **ropes)
    machine.rope_sets.update(retired_on=date(2024, 1, 1))
    new.rope_sets.create(**own, **ropes)

    assert machine.rope_sets.count() == 2


def test_no_two_ropes_of_a_set_run_in_one_groove(world):
    callers.confine(world.north)
    machine = factories.machine(world.north.scope())
    first, second = RopeInGroove.objects.filter(
        rope__rope_set__machine=machine
    ).order_by("rope__number")[:2]

    with (
        pytest.raises(IntegrityError, match="runs in this groove"),
        transaction.atomic(),
    ):
        RopeInGroove.objects.filter(pk=first.pk).update(groove=second.groove)
    with (
        pytest.raises(IntegrityError, match="runs in this groove"),
        transaction.atomic(),
    ):
        RopeInGroove.objects.create(
            contractor=world.north.contractor,
            rope=first.rope,
            groove=second.groove,
            pass_number=2,
        )


def test_a_later_set_runs_in_the_grooves_of_the_set_before(world):
    callers.confine(world.north)
    machine = factories.machine(world.north.scope())
    machine.rope_sets.update(retired_on=date(2024, 1, 1))
    own = {"contractor": world.north.contractor}
    later = machine.rope_sets.create(
        **own,
        sheave=machine.sheaves.get(),
        fitted_on=date(2024, 1, 1),
        ropes_count=5,
        nominal_diameter_mm=13,
    )
    rope = later.ropes.create(**own, number=1)

    rope.seats.create(**own, groove=machine.sheaves.get().grooves.get(number=1))

    assert rope.seats.count() == 1


def test_a_part_retired_on_the_day_its_successor_is_fitted_does_not_overlap(world):
    callers.confine(world.north)
    machine = factories.machine(world.north.scope())
    machine.sheaves.update(retired_on=date(2024, 1, 1))

    machine.sheaves.create(
        contractor=world.north.contractor, fitted_on=date(2024, 1, 1)
    )

    assert machine.sheaves.count() == 2


def test_a_contractor_with_rows_cannot_vanish(world):
    Contractor.objects.filter(pk=world.north.contractor.pk)._raw_delete("default")

    with pytest.raises(IntegrityError):
        commit_checks()
