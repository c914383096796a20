"""Lines of a file as uploads: what is corrected before what corrects it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from fleet.register.exchange.problems import RowError, TooManyRows
from inspections.exchange.rows import UploadLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One upload's visits, and the lines that its readings and visits came from."""

    visits: tuple[dict[str, Any], ...]
    reading_lines: tuple[UploadLine, ...]
    visit_lines: tuple[UploadLine, ...]


def batches(*, waves: Sequence[Sequence[UploadLine]], most: int) -> Iterator[Batch]:
    """Return uploads of at most `most` readings; a visit is never cut in two.

    Raises TooManyRows for a visit that holds more.
    """
    for wave in waves:
        visits: dict[str, list[UploadLine]] = {}
        for line in wave:
            visits.setdefault(line.visit["reference"], []).append(line)
        pending: list[list[UploadLine]] = []
        count = 0
        for lines in visits.values():
            if len(lines) > most:
                raise TooManyRows(f"a visit with {len(lines):,} rows; most: {most:,}")
            if count + len(lines) > most:
                yield _batch(pending)
                pending, count = [], 0
            pending.append(lines)
            count += len(lines)
        if pending:
            yield _batch(pending)


def waves(
    *, lines: Sequence[UploadLine]
) -> tuple[list[list[UploadLine]], list[RowError]]:
    """Return the lines in turns: a correction comes after the reading it corrects.

    Corrections that correct each other in a ring are errors.
    """
    ours = {line.reference for line in lines if line.reading}
    waiting, found = list(lines), list[list[UploadLine]]()
    done: set[str] = set()
    while waiting:
        ready: list[UploadLine] = []
        rest: list[UploadLine] = []
        for line in waiting:
            (ready if _waits_for(line, ours) <= done else rest).append(line)
        if not ready:
            return found, [_ring(line) for line in rest]
        found.append(ready)
        done |= {line.reference for line in ready}
        waiting = rest
    return found, []


def _waits_for(line: UploadLine, ours: set[str]) -> set[str]:
    corrected = line.reading.get("corrects") if line.reading else None
    return {corrected} & ours if corrected else set()


def _ring(line: UploadLine) -> RowError:
    return RowError(
        row=line.row,
        column="corrects",
        code="cannot-correct",
        detail="the rows correct each other in a ring",
    )


def _batch(pending: Sequence[Sequence[UploadLine]]) -> Batch:
    return Batch(
        visits=tuple(
            {**lines[0].visit, "readings": [x.reading for x in lines if x.reading]}
            for lines in pending
        ),
        reading_lines=tuple(x for lines in pending for x in lines if x.reading),
        visit_lines=tuple(lines[0] for lines in pending),
    )
