"""The second ring, with the application's own taken away: plain SQL as the app role."""

import pytest
from django.apps import apps
from django.db import (
    DataError,
    IntegrityError,
    ProgrammingError,
    connection,
    transaction,
)

from fleet.models import Building, Machine, Owner, TenantRow
from fleet.platform.database import tenancy
from tests import callers, factories
from tests.fleet.plain_sql import commit_checks, rows, tenant_tables

pytestmark = pytest.mark.django_db

# The whole list of tables outside row-level security, and why each may be.
OUTSIDE = {
    "fleet_contractor": "read before the contractor is known",
    "fleet_membership": "read before the contractor is known",
    "fleet_token": "read before the contractor is known",
    "fleet_mailrelease": "for which database mails go out; nobody's",
    "fleet_pairingcode": "read before the contractor is known; digests",
    "fleet_person": "people may work for several contractors",
    "fleet_person_groups": "Django's",
    "fleet_person_user_permissions": "Django's",
    "fleet_phone": "beside its key, which is read before the contractor is known",
    "fleet_job": "ids, kind and state only; the sweeper looks over all",
    "fleet_secondfactor": "of people, who may work for several contractors",
    "fleet_tally": "counted before anyone is known; names without secrets",
    "fleet_tick": "when the clockwork was last heard; nobody's",
    "inspections_sharedprior": "means over contractors, and no contractor's own",
    "auth_group": "Django's",
    "auth_group_permissions": "Django's",
    "auth_permission": "Django's",
    "django_admin_log": "Django's",
    "django_content_type": "Django's",
    "django_migrations": "Django's",
    "django_session": "Django's",
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


def test_every_tenants_table_is_counted_soon_after_it_has_grown():
    """Fault D29."""
    found = rows(
        "SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace "
        "AND reloptions @> '{autovacuum_analyze_scale_factor=0,"
        "autovacuum_analyze_threshold=2000}'"
    )

    assert {name for (name,) in found} >= tenant_tables()


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
    # Fault 35: row-level security alone lets this pass; the composite key does not.
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
