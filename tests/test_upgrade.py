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
from inspections.stops import taking_over
from tests import earlier_version
from tests.earlier_version import Rows
from tests.fleet.project.test_urls import LISTS

# Operations that leave every statement of an earlier version as good as it was.
HARMLESS = {
    "AddIndex",
    "AddIndexConcurrently",
    "AddIndexOnline",
    "AlterModelOptions",
    "AppendOnly",
    "ConfineToContractor",
    "CountSoon",
    "CreateModel",
    "LetAppRefreshStatistics",
    # Takes away an index, or a key that a composite key stands in for: statements of
    # an earlier version are planned by what is there, and no row is let in that was
    # refused before. The column stays as it was.
    "LeaveToComposite",
    # Triggers that mark what was worked out, whichever version changes its grounds.
    "MarkMachines",
    "MarkMachinesOfErased",
    "RowForEachMachine",
    # Triggers that write down what was changed, whichever version changes it.
    "Recorded",
    "RemoveIndex",
    "RemoveIndexConcurrently",
    "RemoveIndexOnline",
    "WriteChanges",
    # The same for rows that name a person; triggers that are there call it as before.
    "WriteChangesOfPeople",
}
# Statements of our own and new rules, and why an earlier version can live with them.
REASONS = {
    ("fleet", "0005_people_and_tallies"): "a table that is new in the same migration",
    ("fleet", "0008_register_completed"): "refuses what cannot be, and says so; the "
    "rule on grooves is only looked at later, when the statement ends",
    ("fleet", "0012_repair_and_competence"): "columns that are new with it; what is "
    "left empty says that nobody is competent",
    ("fleet", "0016_length_of_ropes"): "a column that is new with it",
    ("fleet", "0030_makers_limits"): "columns that are new with it, empty until then",
    (
        "fleet",
        "0028_grooves_checked_together",
    ): "the rule of 0008, asked of all rows of a statement at once",
    (
        "inspections",
        "0021_moves_and_mails_of_stops",
    ): "lets a mail have two causes more; the earlier ones are as before",
    ("inspections", "0049_moved_to_another_visit"): "no version has moved a visit onto "
    "itself: copies get a visit of their own",
    (
        "fleet",
        "0034_readers_end_with_their_owner",
    ): "ends keys and sessions that nothing "
    "admits any more; takes all that was taken before",
    ("inspections", "0022_rings_around_moves"): "columns that are new with it",
    ("inspections", "0017_rings_around_stops"): "queues a job; a worker of the earlier "
    "version does not know it and leaves it waiting",
    ("inspections", "0008_current_findings"): "fills a column that is new with it",
    ("inspections", "0011_mails_of_assessments"): "a column that is new with it",
    ("inspections", "0010_gauge_ranges"): "refuses what no gauge has, and says so",
    (
        "inspections",
        "0018_upload_key_once_a_person",
    ): "takes all that was taken before; "
    "an earlier version fails on a key that two people use, and both can send again",
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
    before = MigrationLoader(None).project_state(key, at_end=False)
    new = {
        operation.name.lower()
        for operation in LATER[key].operations
        if type(operation).__name__ == "CreateModel"
    }

    wrong = [
        operation.describe()
        for operation in LATER[key].operations
        if getattr(operation, "model_name", "").lower() not in new
        and not only_adds(operation, key=key, before=before)
    ]

    assert wrong == []


def only_adds(operation: Operation, *, key: tuple[str, str], before: Any) -> bool:
    match type(operation).__name__:
        case "AddField":
            return may_be_left_out(operation.field)
        case "AlterField":
            model = before.models[key[0], operation.model_name.lower()]
            return is_as_wide(model.fields[operation.name], operation.field)
        case "RunSQL" | "AddConstraint" | "RemoveConstraint":
            return key in REASONS
        case kind:
            return kind in HARMLESS


def is_as_wide(old: models.Field, new: models.Field) -> bool:
    """Tell whether a column takes at least what it took, in the same form."""
    was, will_be = _stored(old), _stored(new)
    longer = (will_be.pop("max_length", None) or 0) - (was.pop("max_length", None) or 0)
    if will_be.pop("null", False) < was.pop("null", False):
        return False
    return longer >= 0 and was == will_be


def _stored(field: models.Field) -> dict[str, Any]:
    _, path, arguments, options = field.deconstruct()
    kept = {k: v for k, v in options.items() if k not in field.non_db_attrs}
    if "base_field" in kept:
        kept["base_field"] = _stored(kept["base_field"])
    return {"kind": path, "arguments": arguments} | kept


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
    for name in ("RemoveField", "RenameField", "DeleteModel", "RunPython", "RunSQL"):
        odd = type(name, (), {"model_name": "machine"})()
        assert not only_adds(odd, key=("fleet", "9999"), before=None), name


@pytest.mark.parametrize(
    ("new", "is_wide"),
    [
        (models.CharField(max_length=9, help_text="Another word."), True),
        (models.CharField(max_length=10), True),
        (models.CharField(max_length=9, null=True), True),
        (models.CharField(max_length=8), False),
        (models.CharField(max_length=9, unique=True), False),
        (models.TextField(), False),
        (models.FloatField(), False),
    ],
)
def test_a_column_may_only_become_wider(new, is_wide):
    assert is_as_wide(models.CharField(max_length=9), new) == is_wide


def test_a_column_that_was_empty_somewhere_must_stay_so():
    assert not is_as_wide(models.FloatField(null=True), models.FloatField())


# --- rows through an upgrade: `.ci/long restored` -------------------------------------
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
            (
                {n: row[n] for n in like[table][0]}
                for row in rows[table]
                # Work that the upgrade itself has ordered.
                if row.get("kind") != taking_over.TAKE_OVER
            ),
            key=repr,
        )
        for table in like
        if like[table]
    }


def filled(rows: Rows) -> set[str]:
    return {table for table, found in rows.items() if found}


@pytest.mark.long
def test_the_earlier_tables_hold_what_they_could(upgraded):
    assert len(filled(upgraded.before)) > 25
    assert sum(map(len, upgraded.before.values())) > 100
    # Something has been added since, or this proves nothing.
    assert set(upgraded.before) < set(upgraded.after)


@pytest.mark.long
def test_every_row_is_there_after_the_upgrade(upgraded):
    assert common(upgraded.after, upgraded.before) == common(
        upgraded.before, upgraded.before
    )


@pytest.mark.long
def test_the_new_version_reads_what_the_earlier_one_wrote(upgraded):
    statuses = {path: status for path, (status, _) in upgraded.answers.items()}

    assert set(statuses.values()) == {200}, statuses
    assert upgraded.answers["api/v1/machines"] == (200, 2)
    assert upgraded.answers["api/v1/readings"][1] > 0


@pytest.mark.long
def test_the_new_tables_take_what_an_earlier_version_writes(upgraded):
    # Fault 56: workers of the earlier version go on while the tables are new.
    assert common(upgraded.written, upgraded.before) == common(
        upgraded.before, upgraded.before
    )


@pytest.mark.long
def test_the_project_is_back_at_its_own_database(upgraded, django_db_blocker):
    with django_db_blocker.unblock():
        assert connections["default"].settings_dict["NAME"] != earlier_version.DATABASE
        assert not Machine.objects.exists()
