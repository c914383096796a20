"""The second ring, with the application's own taken away: plain SQL as the app role."""

from datetime import date

import pytest
from django.apps import apps
from django.db import (
    DataError,
    IntegrityError,
    ProgrammingError,
    connection,
    transaction,
)
from django.test import Client

from fleet import tenancy
from fleet.models import Building, Contractor, Machine, Owner, TenantRow
from inspections.models import Reading, ReadingReview
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db

# The whole list of tables outside row-level security, and why each may be.
OUTSIDE = {
    "fleet_contractor": "read before the contractor is known",
    "fleet_membership": "read before the contractor is known",
    "fleet_token": "read before the contractor is known",
    "fleet_person": "people may work for several contractors",
    "fleet_person_groups": "Django's",
    "fleet_person_user_permissions": "Django's",
    "fleet_job": "ids, kind and state only; the sweeper looks over all",
    "auth_group": "Django's",
    "auth_group_permissions": "Django's",
    "auth_permission": "Django's",
    "django_admin_log": "Django's",
    "django_content_type": "Django's",
    "django_migrations": "Django's",
    "django_session": "Django's",
}


def rows(sql, *parameters):
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
        return cursor.fetchall()


def commit_checks():
    """Check now what PostgreSQL would check at the end of the transaction."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def tenant_tables():
    return {
        model._meta.db_table
        for model in apps.get_models()
        if issubclass(model, TenantRow)
    }


# --- the database against the list ----------------------------------------------------
def test_every_table_outside_the_ring_is_on_the_list():
    found = rows(
        "SELECT relname FROM pg_class WHERE relkind IN ('r', 'p') "
        "AND relnamespace = 'public'::regnamespace AND NOT relrowsecurity"
    )

    assert {name for (name,) in found} == set(OUTSIDE)


def test_every_tenants_table_has_its_policy_for_everything():
    found = rows(
        "SELECT tablename, cmd, qual = with_check FROM pg_policies "
        "WHERE schemaname = 'public'"
    )

    assert {name for name, _, _ in found} == tenant_tables()
    assert {(command, same) for _, command, same in found} == {("ALL", True)}


def test_the_app_role_cannot_step_around_it():
    [(superuser, bypass, owned)] = rows(
        "SELECT rolsuper, rolbypassrls, (SELECT count(*) FROM pg_class "
        "WHERE relowner = pg_roles.oid) FROM pg_roles WHERE rolname = current_user"
    )

    assert (superuser, bypass, owned) == (False, False, 0)


def test_every_reference_between_tenants_rows_carries_the_contractor():
    wanted = set()
    for model in apps.get_models():
        if not issubclass(model, TenantRow):
            continue
        for field in model._meta.concrete_fields:
            target = field.related_model
            if target is not None and issubclass(target, TenantRow):
                wanted.add((model._meta.db_table, field.column, target._meta.db_table))
    found = rows(
        "SELECT conrelid::regclass::text, a.attname, confrelid::regclass::text "
        "FROM pg_constraint "
        "JOIN pg_attribute a ON a.attrelid = conrelid AND a.attnum = conkey[2] "
        "JOIN pg_attribute c ON c.attrelid = conrelid AND c.attnum = conkey[1] "
        "WHERE contype = 'f' AND cardinality(conkey) = 2 "
        "AND c.attname = 'contractor_id'"
    )

    assert set(found) == wanted


# --- reading and writing --------------------------------------------------------------
@pytest.fixture
def world():
    return estates.world()


def test_without_a_setting_no_tenants_row_is_seen(world):
    factories.forget_tenant()

    for table in sorted(tenant_tables()):
        assert rows(f'SELECT count(*) FROM "{table}"') == [(0,)], table


def test_with_a_setting_only_that_contractors_rows_are_seen(world):
    for cast in (world.north, world.south):
        callers.confine(cast)
        for table in sorted(tenant_tables()):
            found = rows(f'SELECT DISTINCT contractor_id FROM "{table}"')
            assert found == [(cast.contractor.pk,)], table


def test_another_contractors_row_cannot_be_changed_or_removed(world):
    callers.confine(world.north)

    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE fleet_owner SET name = 'theirs' WHERE contractor_id = %s",
            [world.south.contractor.pk],
        )
        assert cursor.rowcount == 0
        cursor.execute(
            "DELETE FROM fleet_work WHERE contractor_id = %s",
            [world.south.contractor.pk],
        )
        assert cursor.rowcount == 0


def test_a_row_cannot_be_written_for_another_contractor(world):
    callers.confine(world.north)

    with (
        pytest.raises(ProgrammingError, match="row-level security"),
        transaction.atomic(),
    ):
        Owner.objects.create(contractor=world.south.contractor, name="X", code="x")


def test_a_row_cannot_be_handed_to_another_contractor(world):
    callers.confine(world.north)

    with (
        pytest.raises(ProgrammingError, match="row-level security"),
        transaction.atomic(),
    ):
        Owner.objects.update(contractor=world.south.contractor)


def test_without_a_setting_nothing_can_be_written(world):
    factories.forget_tenant()

    with (
        pytest.raises(ProgrammingError, match="row-level security"),
        transaction.atomic(),
    ):
        Owner.objects.create(contractor=world.north.contractor, name="X", code="x")


def test_a_row_cannot_point_at_another_contractors_row(world):
    # Row 35: row-level security alone lets this pass; the composite key does not.
    callers.confine(world.south)
    foreign = Owner.objects.first()
    callers.confine(world.north)

    Building.objects.create(
        contractor=world.north.contractor,
        owner_id=foreign.pk,
        name="X",
        code="x",
        time_zone="UTC",
        criteria_set="EN_81_20",
    )

    with pytest.raises(IntegrityError, match="owner_id_same"):
        commit_checks()


def test_a_reading_cannot_point_at_another_contractors_machine(world):
    callers.confine(world.south)
    foreign = Machine.objects.first().pk
    callers.confine(world.north)

    rows(
        "INSERT INTO inspections_reading (contractor_id, version, upload_id, "
        "visit_id, machine_id, reference, kind, place, typed_value, typed_unit, "
        "value, word, taken_at, note, state, state_reason) SELECT contractor_id, "
        "1, upload_id, visit_id, %s, 'new', kind, place, typed_value, "
        "typed_unit, value, word, taken_at, note, state, state_reason "
        "FROM inspections_reading LIMIT 1 RETURNING id",
        foreign,
    )

    with pytest.raises(IntegrityError, match="machine_id_same"):
        commit_checks()


def test_a_setting_that_is_no_number_is_refused_not_guessed(world):
    rows("SELECT set_config(%s, 'north', true)", tenancy.SETTING)

    with pytest.raises(DataError):
        rows("SELECT count(*) FROM fleet_owner")


# --- the setting's life; row 37 -------------------------------------------------------
@pytest.mark.django_db(transaction=True)
def test_the_setting_is_gone_after_the_transaction():
    cast = factories.cast()

    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        assert Owner.objects.count() == 2

    assert Owner.objects.count() == 0
    assert rows("SELECT nullif(current_setting(%s, true), '')", tenancy.SETTING) == [
        (None,)
    ]


@pytest.mark.django_db(transaction=True)
def test_two_contractors_on_one_connection_never_mix():
    casts = [factories.cast(code="north"), factories.cast(code="south")]

    for _ in range(3):
        for cast in casts:
            answer = Client().get("/api/v1/owners", headers=cast.headers())
            seen = {row["id"] for row in answer.json()["results"]}
            with tenancy.acting_for(contractor_id=cast.contractor.pk):
                own = set(Owner.objects.values_list("pk", flat=True))
            assert seen == own
            assert Owner.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_a_failed_transaction_leaves_no_setting_behind():
    cast = factories.cast()

    with (
        pytest.raises(RuntimeError),
        tenancy.acting_for(contractor_id=cast.contractor.pk),
    ):
        raise RuntimeError

    assert Owner.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_confining_needs_a_transaction():
    with pytest.raises(transaction.TransactionManagementError, match="ends with it"):
        tenancy.confine(contractor_id=1)


@pytest.mark.django_db(transaction=True)
def test_a_reference_checked_at_the_end_is_a_problem_and_not_a_failure(monkeypatch):
    # Even if a serializer forgot to look: the commit refuses, the caller is told.
    north, south = factories.cast(code="north"), factories.cast(code="south")
    with tenancy.acting_for(contractor_id=south.contractor.pk):
        foreign = Owner.objects.first().pk
    with tenancy.acting_for(contractor_id=north.contractor.pk):
        building = Building.objects.first()

    def careless(self, attrs):
        return attrs | {"owner": Owner(pk=foreign)}

    monkeypatch.setattr("fleet.api.fields.TenantSerializer.validate", careless)
    answer = Client(raise_request_exception=False).patch(
        f"/api/v1/buildings/{building.pk}",
        {"name": "X"},
        content_type="application/json",
        headers=north.headers() | {"If-Match": "*"},
    )

    assert callers.is_problem(answer, 422, "refers-to-nothing")
    with tenancy.acting_for(contractor_id=north.contractor.pk):
        assert Building.objects.get(pk=building.pk).name == building.name


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


def test_not_even_the_owner_of_the_table_changes_a_reading():
    # The trigger stands behind the right: it holds for every role.
    found = rows(
        "SELECT tgrelid::regclass::text, tgenabled FROM pg_trigger "
        "WHERE tgname = 'append_only'"
    )

    assert set(found) == {
        ("inspections_reading", "O"),
        ("inspections_readingreview", "O"),
    }


# --- what must never be; plain SQL as the app role (rows 16 and 35) -------------------
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
