"""Bring files in: first a look, then all or nothing; a second time changes nothing."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from fleet.exchange import header, parsing, plan, writing
from fleet.exchange.dialect import Dialect
from fleet.exchange.plan import Plan
from fleet.exchange.problems import RowError
from fleet.exchange.resource import Resource
from fleet.exchange.table import read_table
from fleet.tenancy import Scope

MOST_ROWS = 50_000
MOST_SHOWN = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One row that is created or changed: column -> (what stands, what will)."""

    row: int
    name: str
    is_new: bool
    fields: dict[str, tuple[str, str]]

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {
            "row": self.row,
            "name": self.name,
            "what": "created" if self.is_new else "changed",
        }
        if not self.is_new:
            found["fields"] = {
                column: {"from": old, "to": new}
                for column, (old, new) in self.fields.items()
            }
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a file does, or would do; nothing is stored if there are errors."""

    resource: str
    rows: int = 0
    unchanged: int = 0
    changes: tuple[Change, ...] = ()
    errors: tuple[RowError, ...] = ()
    stored: bool = False

    @property
    def created(self) -> int:
        return sum(change.is_new for change in self.changes)

    @property
    def changed(self) -> int:
        return len(self.changes) - self.created

    def as_json(self) -> dict[str, Any]:
        return {
            "resource": self.resource,
            "stored": self.stored,
            "rows": self.rows,
            "created": self.created,
            "changed": self.changed,
            "unchanged": self.unchanged,
            "changes": [change.as_json() for change in self.changes[:MOST_SHOWN]],
            "changes_not_shown": max(0, len(self.changes) - MOST_SHOWN),
            "errors": [error.as_json() for error in self.errors],
        }


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
) -> list[Outcome]:
    """Bring files in, in the order given, and return what each of them does.

    Nothing of any file is stored if it is a dry run or if one row of one file has
    an error. Must be called in a transaction confined to the contractor. Raises
    NotATable or TooManyRows.
    """
    with transaction.atomic():
        outcomes = [
            _bring_in(scope=scope, file=file, dialect=dialect, most=most)
            for file in files
        ]
        refused = any(outcome.errors for outcome in outcomes)
        if dry_run or refused:
            transaction.set_rollback(True)
    return [replace(each, stored=not (dry_run or refused)) for each in outcomes]


def _bring_in(*, scope: Scope, file: File, dialect: Dialect, most: int) -> Outcome:
    resource = file.resource
    table = read_table(content=file.content, dialect=dialect, most=most)
    headings, errors = header.match(header=table.header, columns=resource.columns)
    errors += header.find_key(headings=headings, resource=resource)
    errors += _half_references(resource, headings)
    if errors:
        return Outcome(resource=resource.name, errors=tuple(sorted(set(errors))))
    rows = parsing.parse(table=table, headings=headings, dialect=dialect)
    found = plan.make(scope=scope, resource=resource, rows=rows)
    errors = [error for row in rows for error in row.errors] + found.errors
    if not found.errors:
        errors += writing.store(plan=found)
        if not errors:
            writing.check_references()
    return _outcome(found, rows=len(rows), errors=errors, headings=headings)


def _half_references(
    resource: Resource, headings: Sequence[header.Heading]
) -> list[RowError]:
    """Return what lacks where a file names a reference's columns only in part."""
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
) -> Outcome:
    changes = tuple(
        Change(row=p.row, name=p.name, is_new=p.is_new, fields=dict(p.changes))
        for p in found.planned
        if p.is_new or p.changes
    )
    # A person finds the column under the heading that stands in the file.
    as_written = {heading.column.name: heading.heading for heading in headings}
    return Outcome(
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
