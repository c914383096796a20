"""Bring files in: first a look, then all or nothing; a second time changes nothing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from fleet.platform.database import table_statistics
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from fleet.register.exchange import header, parsing, plan, writing
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.outcome import FileOutcome, RowChange
from fleet.register.exchange.plan import Plan
from fleet.register.exchange.problems import RowError
from fleet.register.exchange.resource import Resource
from fleet.register.exchange.table import read_table
from fleet.register.models import Machine, RopeInGroove

MOST_ROWS = 50_000
PARTS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class File:
    """One file: what it holds, and its bytes as they came."""

    resource: Resource
    content: bytes


def bring_in(
    *,
    scope: Scope,
    files: Sequence[File],
    dialect: Dialect,
    dry_run: bool,
    most: int = MOST_ROWS,
    tell: Callable[[int, int], None] = lambda done, parts: None,
) -> list[FileOutcome]:
    """Bring files in, in the order given, and return what each of them does.

    `tell` hears how many of a file's three parts are done: read, compared, written.
    Nothing of any file is stored if it is a dry run or if one row of one file has
    an error. Must be called in a transaction confined to the contractor. Raises
    NotATable or TooManyRows.
    """
    with transaction.atomic():
        outcomes = [
            _bring_in(scope=scope, file=file, dialect=dialect, most=most, tell=tell)
            for file in files
        ]
        refused = any(outcome.errors for outcome in outcomes)
        if dry_run or refused:
            transaction.set_rollback(True)
    return [replace(each, stored=not (dry_run or refused)) for each in outcomes]


def reassess(
    *, scope: Scope, outcomes: Sequence[FileOutcome], kind: str, now: datetime
) -> list[int]:
    """Queue a job for every machine that stored files touch; return their ids."""
    machines = {pk for each in outcomes if each.stored for pk in each.machine_ids}
    return jobs.write(
        kind=kind,
        contractor_id=scope.contractor_id,
        subject_ids=machines,
        due_at=now,
    )


def _bring_in(
    *,
    scope: Scope,
    file: File,
    dialect: Dialect,
    most: int,
    tell: Callable[[int, int], None],
) -> FileOutcome:
    resource = file.resource
    table = read_table(content=file.content, dialect=dialect, most=most)
    headings, errors = header.match(header=table.header, columns=resource.columns)
    errors += header.find_key(headings=headings, resource=resource)
    errors += _half_references(resource, headings)
    if errors:
        return FileOutcome(resource=resource.name, errors=tuple(sorted(set(errors))))
    rows = parsing.parse(table=table, headings=headings, dialect=dialect)
    tell(1, PARTS)
    found = plan.make(scope=scope, resource=resource, rows=rows)
    tell(2, PARTS)
    errors = [error for row in rows for error in row.errors] + found.errors
    if not found.errors:
        errors += writing.store(plan=found)
    if errors:
        return _outcome(found, rows=len(rows), errors=errors, headings=headings)
    also = (RopeInGroove,) if resource.companion else ()
    table_statistics.refresh(resource.model, *also, rows=len(found.planned))
    writing.check_references()
    tell(3, PARTS)
    outcome = _outcome(found, rows=len(rows), errors=[], headings=headings)
    return replace(outcome, machine_ids=_touched(scope, found))


def _touched(scope: Scope, found: Plan) -> tuple[int, ...]:
    """Return the machines in service that the new and changed rows belong to."""
    lookup = found.resource.model.from_machine
    rows = [p.instance.pk for p in found.planned if p.is_new or p.changes]
    if not lookup or not rows:
        return ()
    machines = Machine.objects.within(scope).filter(
        **{f"{lookup}__in": rows}, retired_on=None
    )
    return tuple(machines.order_by("pk").values_list("pk", flat=True).distinct())


def _half_references(
    resource: Resource, headings: Sequence[header.Heading]
) -> list[RowError]:
    """Return what is missing where a file names a reference's columns only in part."""
    there = {heading.column.name for heading in headings}
    needed = [
        part.column
        for reference in resource.references
        if there & set(reference.own)
        for part in reference.parts
    ]
    return header.missing(headings=headings, names=needed)


def _outcome(
    found: Plan,
    *,
    rows: int,
    errors: list[RowError],
    headings: Sequence[header.Heading],
) -> FileOutcome:
    changes = tuple(
        RowChange(row=p.row, name=p.name, is_new=p.is_new, fields=dict(p.changes))
        for p in found.planned
        if p.is_new or p.changes
    )
    # A person finds the column under the heading that stands in the file.
    as_written = {heading.column.name: heading.heading for heading in headings}
    return FileOutcome(
        resource=found.resource.name,
        rows=rows,
        unchanged=len(found.planned) - len(changes),
        changes=changes,
        errors=tuple(
            sorted(
                replace(error, column=as_written.get(error.column, error.column))
                for error in errors
            )
        ),
    )
