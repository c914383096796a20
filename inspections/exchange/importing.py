"""Bring a heap of readings in: through the upload's own rules, all or nothing."""

import hashlib
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.db import transaction

from fleet.platform.database import table_statistics
from fleet.platform.database.tenancy import Scope
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.problems import RowError
from inspections import intake
from inspections.exchange import batches, pointing, reading_file
from inspections.exchange.batches import Batch
from inspections.exchange.outcome import ReadingFileOutcome, ReadingNotice
from inspections.exchange.reading_file import HeaderRefused, ReadingFile
from inspections.exchange.rows import UploadLine
from inspections.models import Reading, Visit

MOST_ROWS = 100_000
_TAKEN = ("stored", "held")


@dataclass(slots=True, kw_only=True)
class _Tally:
    """What the uploads of one file have answered so far."""

    counts: Counter[str] = field(default_factory=Counter)
    visits: Counter[str] = field(default_factory=Counter)
    notices: list[ReadingNotice] = field(default_factory=list)
    errors: list[RowError] = field(default_factory=list)
    job_ids: list[int] = field(default_factory=list)
    told: str = ""

    @property
    def has_news(self) -> bool:
        """Whether anything was new to the register of readings."""
        fresh = sum(self.counts[word] for word in _TAKEN) + self.visits["stored"]
        return fresh > 0

    def add(self, batch: Batch, accepted: intake.Accepted) -> None:
        self.job_ids += accepted.job_ids
        self.told = accepted.answer.get("told", self.told)
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
                    ReadingNotice(
                        row=line.row,
                        outcome=reading["outcome"],
                        warning=warning,
                        stop=stop,
                    )
                )

    def _refuse(self, line: UploadLine, problem: Mapping[str, str]) -> None:
        if problem["code"] == "nothing-taken":
            # Each of the visit's readings says why.
            return
        self.errors.append(
            RowError(
                row=line.row,
                column=pointing.column_of(problem["pointer"]),
                code=problem["code"],
                detail=pointing.detail_of(line, problem),
            )
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
    tell: Callable[[int, int], None] = lambda done, parts: None,
) -> ReadingFileOutcome:
    """Bring a file of readings in and return what it does.

    `tell` hears how many of its readings have been judged, of how many.

    Nothing is stored if it is a dry run, if one row has an error, or if everything
    is stored already. Must be called in a transaction confined to the contractor.
    Raises NotATable or TooManyRows.
    """
    try:
        file = reading_file.read(
            scope=scope, content=content, dialect=dialect, most=most
        )
    except HeaderRefused as refused:
        return ReadingFileOutcome(errors=refused.errors)
    turns, ring = batches.waves(lines=file.lines)
    tally = _Tally(errors=[*file.errors, *ring])
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
            tell(sum(tally.counts.values()), len(file.rows))
        keep = tally.has_news and not (dry_run or tally.errors)
        if keep:
            table_statistics.refresh(Visit, Reading, rows=len(file.rows))
        else:
            transaction.set_rollback(True)
    return _outcome(tally, file=file, kept=keep)


def _outcome(tally: _Tally, *, file: ReadingFile, kept: bool) -> ReadingFileOutcome:
    return ReadingFileOutcome(
        rows=len(file.rows),
        counts=tally.counts,
        visits=tally.visits,
        notices=tuple(tally.notices),
        errors=tuple(
            sorted(
                replace(error, column=file.shown(error.column))
                for error in tally.errors
            )
        ),
        stored=kept,
        job_ids=tuple(tally.job_ids) if kept else (),
        told=tally.told if kept else "",
    )
