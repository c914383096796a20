"""Each index has its reason, and checks of references read a row, not a portfolio."""

import os
import re
from datetime import date

import psycopg
import pytest
from django.db import connection

from fleet.models import Building, Contractor, Machine, Owner, Sheave
from fleet.platform.database import tenancy
from tests.fleet.indexes import BEGINNINGS, REASONS, UNINDEXED
from tests.fleet.plain_sql import rows

pytestmark = pytest.mark.django_db

MACHINES = 600
DEFINITION = re.compile(r"USING (\w+) \((.*?)\)( NULLS NOT DISTINCT)?( WHERE .*)?$")
OURS = "^(fleet|inspections|reports)_"


def indexes() -> dict[str, set[str]]:
    """Return table -> its indexes' columns, but for its own key and tenants' keys."""
    found = rows(
        "SELECT tablename, indexdef FROM pg_indexes WHERE schemaname = 'public' "
        "AND tablename ~ %s AND indexname !~ '_pkey$' "
        "AND indexname <> tablename || '_of_contractor'",
        OURS,
    )
    named: dict[str, set[str]] = {}
    for table, definition in found:
        named.setdefault(table, set()).add(columns(definition))
    return named


def columns(definition: str) -> str:
    kind, names, _, condition = DEFINITION.search(definition).groups()
    words = names.replace('"', "") + (" where" if condition else "")
    return words if kind == "btree" else f"{kind}: {words}"


# --- each index -----------------------------------------------------------------------
def test_every_index_has_its_reason_and_every_reason_its_index():
    assert indexes() == {table: set(listed) for table, listed in REASONS.items()}


def test_no_index_is_the_beginning_of_another_without_a_reason():
    found = set()
    for table, named in indexes().items():
        whole = [name.split(", ") for name in named if is_whole(name)]
        if has_key_of_contractor(table):
            whole.append(["contractor_id", "id"])
        found |= {
            (table, ", ".join(short))
            for short in whole
            for long in whole
            if short != long and long[: len(short)] == short
        }

    assert found == set(BEGINNINGS)


def is_whole(name: str) -> bool:
    return not name.startswith("gist") and not name.endswith("where")


def has_key_of_contractor(table: str) -> bool:
    return rows("SELECT to_regclass(%s) IS NOT NULL", f"{table}_of_contractor") == [
        (True,)
    ]


@pytest.mark.parametrize(
    ("definition", "read"),
    [
        ("CREATE INDEX a ON public.b USING btree (c, d DESC)", "c, d DESC"),
        ("CREATE INDEX a ON b USING btree (c) WHERE (c IS NOT NULL)", "c where"),
        ("CREATE INDEX a ON b USING gist (c, daterange(d, e))", "gist: c, daterange(d"),
    ],
)
def test_definitions_are_read_as_postgresql_writes_them(definition, read):
    assert columns(definition).startswith(read)


# --- each reference -------------------------------------------------------------------
def test_a_reference_is_guarded_once():
    keys = rows(
        "SELECT conrelid::regclass::text, a.attname, cardinality(conkey) "
        "FROM pg_constraint JOIN pg_attribute a "
        "ON a.attrelid = conrelid AND a.attnum = conkey[cardinality(conkey)] "
        "WHERE contype = 'f' AND conrelid::regclass::text ~ %s",
        OURS,
    )
    together = {(table, column) for table, column, many in keys if many == 2}
    alone = {(table, column) for table, column, many in keys if many == 1}

    assert len(together) > 60
    assert together & alone == set()
    # What stands outside the ring, and the contractor itself, keep keys of their own.
    assert ("fleet_token", "membership_id") in alone
    assert ("fleet_membership", "person_id") in alone
    assert {table for table, _ in together} <= {
        table for table, column in alone if column == "contractor_id"
    }


def test_a_parent_that_goes_is_looked_for_by_an_index():
    keys = rows(
        "SELECT conrelid::regclass::text, a.attname "
        "FROM pg_constraint JOIN pg_attribute a "
        "ON a.attrelid = conrelid AND a.attnum = conkey[2] "
        "WHERE contype = 'f' AND cardinality(conkey) = 2 "
        "AND conrelid::regclass::text ~ %s",
        OURS,
    )

    listed = indexes()

    without = {
        (table, column)
        for table, column in keys
        if not any(leads_to(column, name) for name in listed[table])
    }

    assert without == set(UNINDEXED)


def leads_to(column: str, index: str) -> bool:
    """Tell whether an index finds all rows that hold a given value in the column."""
    if index == f"{column} where":
        return True
    names = index.removesuffix(" where").split(", ")
    return not index.endswith("where") and column in (
        names[0],
        *(names[1:2] if names[0] == "contractor_id" else ()),
    )


def test_checks_of_references_read_one_row_each_while_tables_are_young():
    """As in a large import that the server's own clean-up looks at half-way.

    It takes tables for empty whose rows are not committed yet; any index then seems as
    good as another, and one on the contractor alone reads all the contractor's rows.
    """
    contractor = Contractor.objects.create(name="Young Lifts", code="young")
    tenancy.confine(contractor_id=contractor.pk)
    machines = store_machines(contractor)
    analyze("fleet_machine")
    Sheave.objects.bulk_create(
        Sheave(contractor=contractor, machine=machine, fitted_on=date(2020, 1, 1))
        for machine in machines
    )
    before = rows_read("fleet_machine")

    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")

    # Each machine's sheave and its row of state.
    assert rows_read("fleet_machine") - before == 2 * MACHINES


def store_machines(contractor: Contractor) -> list[Machine]:
    own = {"contractor": contractor}
    owner_row = Owner.objects.create(**own, name="Owner", code="o")
    building = Building.objects.create(
        **own,
        name="Building",
        code="b",
        owner=owner_row,
        time_zone="Europe/Lisbon",
        criteria_set="EN_81_20",
    )
    return Machine.objects.bulk_create(
        Machine(**own, building=building, code=f"m-{n}", drive_kind="GEARED")
        for n in range(MACHINES)
    )


def analyze(table: str) -> None:
    """Look at a table from outside the test's transaction, as autovacuum does."""
    with owner() as connected:
        connected.execute(f"ANALYZE {table}")


def owner() -> psycopg.Connection:
    return psycopg.connect(os.environ["DATABASE_OWNER_URL"], autocommit=True)


def rows_read(table: str) -> int:
    """Return how many rows of a table this transaction has read."""
    ((read,),) = rows(
        "SELECT seq_tup_read + idx_tup_fetch FROM pg_stat_xact_user_tables "
        "WHERE relname = %s",
        table,
    )
    return read
