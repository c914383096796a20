"""From an earlier version's tables and rows to the present ones, and both at once.

Rows are those of the twin estates, which fill every table, with the columns that the
earlier version had: what its INSERT statements name.
"""

from dataclasses import dataclass
from typing import Any

import pytest
from django.db import connections, models
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations.base import Operation
from django.test import Client

from fleet.models import Machine
from tests import earlier_version
from tests.earlier_version import Rows
from tests.fleet.test_urls import LISTS

# Operations that leave every statement of an earlier version as good as it was.
HARMLESS = {
    "AddIndex",
    "AddIndexConcurrently",
    "AlterModelOptions",
    "AppendOnly",
    "ConfineToContractor",
    "CreateModel",
    # Triggers that write down what was changed, whichever version changes it.
    "Recorded",
    "RemoveIndex",
    "RemoveIndexConcurrently",
    "WriteChanges",
}
# Statements of our own, and why an earlier version does not mind them.
STATEMENTS = {
    ("fleet", "0005_people_and_tallies"): "a table that is new in the same migration",
    ("inspections", "0008_current_findings"): "fills a column that is new with it",
}


# --- each change only adds ------------------------------------------------------------
def migrations() -> dict[tuple[str, str], Any]:
    """Return what came after the earlier state, in no order."""
    loader = MigrationLoader(None)
    known = {
        node
        for app, name in earlier_version.EARLIER.items()
        for node in loader.graph.forwards_plan((app, name))
    }
    return {
        key: found
        for key, found in loader.disk_migrations.items()
        if key[0] in earlier_version.OURS and key not in known
    }


LATER = migrations()


@pytest.mark.parametrize("key", sorted(LATER), ids=".".join)
def test_a_change_of_the_tables_only_adds(key):
    new = {
        operation.name.lower()
        for operation in LATER[key].operations
        if type(operation).__name__ == "CreateModel"
    }

    wrong = [o for o in LATER[key].operations if not only_adds(o, key=key, new=new)]

    assert [operation.describe() for operation in wrong] == []


def only_adds(operation: Operation, *, key: tuple[str, str], new: set[str]) -> bool:
    kind = type(operation).__name__
    if kind in HARMLESS or getattr(operation, "model_name", "").lower() in new:
        return True
    if kind == "RunSQL":
        return key in STATEMENTS
    return kind == "AddField" and may_be_left_out(operation.field)


def may_be_left_out(field: models.Field) -> bool:
    """Tell whether an INSERT that does not name the column is good all the same."""
    return field.null or field.db_default is not models.NOT_PROVIDED


def test_a_change_that_takes_something_away_would_be_seen():
    kinds = (
        models.CharField(max_length=9),
        models.CharField(max_length=9, default="x"),
        models.CharField(max_length=9, db_default="x"),
        models.FloatField(null=True),
    )

    assert [may_be_left_out(kind) for kind in kinds] == [False, False, True, True]
    for name in (
        "RemoveField",
        "AlterField",
        "RenameField",
        "DeleteModel",
        "RunPython",
    ):
        odd = type(name, (), {"model_name": "machine"})()
        assert not only_adds(odd, key=("fleet", "9999"), new=set()), name


# --- rows through an upgrade ----------------------------------------------------------
@dataclass(kw_only=True)
class Upgraded:
    """What was in the tables at each step."""

    present: Rows
    before: Rows
    after: Rows
    written: Rows
    answers: dict[str, Any]


@pytest.fixture(scope="module")
def upgraded(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        present, cast = earlier_version.rows_of_today()
        with earlier_version.other_database() as owner:
            earlier_version.migrate_to(list(earlier_version.EARLIER.items()))
            earlier_version.store(owner, present)
            before = earlier_version.stored(owner)
            earlier_version.migrate_to(None)
            after = earlier_version.stored(owner)
            answers = read_all(cast)
            # What an earlier version writes into the tables of today.
            earlier_version.empty(owner)
            earlier_version.store(owner, before)
            written = earlier_version.stored(owner)
        yield Upgraded(
            present=present,
            before=before,
            after=after,
            written=written,
            answers=answers,
        )


def read_all(cast) -> dict[str, Any]:
    """Read every list of the API on the upgraded database, as the office."""
    found = {}
    for path in LISTS:
        answer = Client(raise_request_exception=False).get(
            f"/{path}?page_size=200", headers=cast.headers()
        )
        found[path] = answer.status_code, len(answer.json().get("results", ()))
    return found


def common(rows: Rows, like: Rows) -> Rows:
    """Return rows cut down to the tables and columns of others."""
    return {
        table: sorted(
            ({n: row[n] for n in like[table][0]} for row in rows[table]), key=repr
        )
        for table in like
        if like[table]
    }


def filled(rows: Rows) -> set[str]:
    return {table for table, found in rows.items() if found}


def test_the_earlier_tables_hold_what_they_could(upgraded):
    assert len(filled(upgraded.before)) > 25
    assert sum(map(len, upgraded.before.values())) > 100
    # Something has been added since, or this proves nothing.
    assert set(upgraded.before) < set(upgraded.after)


def test_every_row_is_there_after_the_upgrade(upgraded):
    assert common(upgraded.after, upgraded.before) == common(
        upgraded.before, upgraded.before
    )


def test_the_new_version_reads_what_the_earlier_one_wrote(upgraded):
    statuses = {path: status for path, (status, _) in upgraded.answers.items()}

    assert set(statuses.values()) == {200}, statuses
    assert upgraded.answers["api/v1/machines"] == (200, 2)
    assert upgraded.answers["api/v1/readings"][1] > 0


def test_the_new_tables_take_what_an_earlier_version_writes(upgraded):
    # Fault 56: workers of the earlier version go on while the tables are new.
    assert common(upgraded.written, upgraded.before) == common(
        upgraded.before, upgraded.before
    )


def test_the_project_is_back_at_its_own_database(upgraded, django_db_blocker):
    with django_db_blocker.unblock():
        assert connections["default"].settings_dict["NAME"] != earlier_version.DATABASE
        assert not Machine.objects.exists()
