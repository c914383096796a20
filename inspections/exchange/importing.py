"""Bring a heap of readings in: through the upload's own rules, all or nothing."""

import hashlib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.db import transaction

from fleet.exchange import parsing
from fleet.exchange.dialect import Dialect
from fleet.exchange.problems import RowError
from fleet.exchange.table import read_table
from fleet.models import Machine
from fleet.tenancy import Scope
from inspections import intake
from inspections.exchange import batches, headings, rows
from inspections.exchange.batches import Batch
from inspections.exchange.outcome import Notice, Outcome
from inspections.exchange.rows import Line

MOST_ROWS = 100_000
_TAKEN = ("stored", "held")
# The last steps of an upload's pointer -> the file's column.
_VISIT_COLUMNS = {
    "reference": "visit",
    "machine": "machine",
    "kind": "visit_kind",
    "visited_at": "visited_at",
    "note": "visit_note",
    "work": "work_kind",
    "work/kind": "work_kind",
    "work/done_on": "work_done_on",
}


@dataclass(slots=True, kw_only=True)
class _Tally:
    """What the uploads of one file have answered so far."""

    counts: Counter[str] = field(default_factory=Counter)
    visits: Counter[str] = field(default_factory=Counter)
    notices: list[Notice] = field(default_factory=list)
    errors: list[RowError] = field(default_factory=list)
    job_ids: list[int] = field(default_factory=list)

    @property
    def has_news(self) -> bool:
        """Whether anything was new to the register of readings."""
        fresh = sum(self.counts[word] for word in _TAKEN) + self.visits["stored"]
        return fresh > 0

    def add(self, batch: Batch, accepted: intake.Accepted) -> None:
        self.job_ids += accepted.job_ids
        for line, visit in zip(
            batch.visit_lines, accepted.answer["visits"], strict=True
        ):
            self.visits[visit["outcome"]] += 1
            if "problem" in visit:
                self._refuse(line, visit["problem"])
        for line, reading in zip(
            batch.reading_lines, accepted.answer["readings"], strict=True
        ):
            self.counts[reading["outcome"]] += 1
            # A visit's own fault has been told once, at the visit's first row.
            if "problem" in reading and "/readings" in reading["problem"]["pointer"]:
                self._refuse(line, reading["problem"])
            warning, stop = reading.get("warning", ""), reading.get("stop", "")
            if warning or stop:
                self.notices.append(
                    Notice(
                        row=line.row,
                        outcome=reading["outcome"],
                        warning=warning,
                        stop=stop,
                    )
                )

    def _refuse(self, line: Line, problem: Mapping[str, str]) -> None:
        if problem["code"] == "nothing-taken":
            # Each of the visit's readings says why.
            return
        self.errors.append(
            RowError(
                row=line.row,
                column=_column(problem["pointer"]),
                code=problem["code"],
                detail=_detail(line, problem),
            )
        )


def _column(pointer: str) -> str:
    """Return the column that an upload's pointer leads to."""
    # "", "visits", the visit's number, and then what is wrong with it.
    steps = pointer.split("/")[3:]
    if steps[:1] == ["readings"]:
        return steps[-1] if len(steps) > 2 else "kind"
    return _VISIT_COLUMNS.get("/".join(steps), "visit")


def _detail(line: Line, problem: Mapping[str, str]) -> str:
    if problem["code"] != "reference-reused" or not rows.is_made(line.reference):
        return problem["detail"]
    return (
        "a reading of this kind at this place and time is stored with another value; "
        "give this one a reference of its own, or let it correct that one"
    )


def bring_in(
    *,
    scope: Scope,
    content: bytes,
    dialect: Dialect,
    dry_run: bool,
    received_at: datetime,
    most_at_once: int,
    most: int = MOST_ROWS,
) -> Outcome:
    """Bring a file of readings in and return what it does.

    Nothing is stored if it is a dry run, if one row has an error, or if everything
    is stored already. Must be called in a transaction confined to the contractor.
    Raises NotATable or TooManyRows.
    """
    table = read_table(content=content, dialect=dialect, most=most)
    found, errors = headings.read(names=table.header)
    if errors:
        return Outcome(errors=tuple(sorted(set(errors))))
    parsed = parsing.parse(table=table, headings=found.columns, dialect=dialect)
    codes = {p.values["machine"] for p in parsed if "machine" in p.values}
    reader = rows.Reader(unit=found.unit, zones=_zones(scope, codes))
    turns, ring = batches.waves(lines=reader.read(rows=parsed))
    unread = [error for p in parsed for error in p.errors]
    tally = _Tally(errors=[*unread, *reader.errors, *ring])
    fingerprint = hashlib.sha256(content).hexdigest()
    with transaction.atomic():
        for batch in batches.batches(waves=turns, most=most_at_once):
            accepted = intake.accept(
                scope=scope,
                body={"visits": list(batch.visits)},
                fingerprint=fingerprint,
                key=None,
                received_at=received_at,
                most=most_at_once,
            )
            tally.add(batch, accepted)
        keep = tally.has_news and not (dry_run or tally.errors)
        if not keep:
            transaction.set_rollback(True)
    return _outcome(tally, rows=len(parsed), written=found.written, kept=keep)


def _outcome(
    tally: _Tally, *, rows: int, written: Mapping[str, str], kept: bool
) -> Outcome:
    return Outcome(
        rows=rows,
        counts=tally.counts,
        visits=tally.visits,
        notices=tuple(tally.notices),
        errors=tuple(
            sorted(
                replace(error, column=_shown(error.column, written))
                for error in tally.errors
            )
        ),
        stored=kept,
        job_ids=tuple(tally.job_ids) if kept else (),
    )


def _shown(column: str, written: Mapping[str, str]) -> str:
    """Return the heading under which a person finds a column in the file."""
    if column == "unit" and "unit" not in written:
        column = "value"
    if column == "visited_at" and "visited_at" not in written:
        column = "visited_on"
    return written.get(column, column)


def _zones(scope: Scope, codes: set[str]) -> dict[str, str]:
    machines = Machine.objects.within(scope).filter(code__in=codes)
    return dict(machines.values_list("code", "building__time_zone"))
