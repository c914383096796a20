"""What was read when the work was finished, through the ordinary door's rules."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.register.choices import WorkKind
from inspections.completion import periods
from inspections.completion.problems import NotTaken, WorkConflict
from inspections.completion.report import Notice, WorkReport
from inspections.intake import decode, outcome
from inspections.intake.take import take
from inspections.intake.understood import NewReading, NewUpload, NewVisit
from inspections.kinds import Group, of_group
from inspections.models import Upload, VisitKind

# Read later than this the state is no longer the one that was left; our rule.
WITHIN = timedelta(days=60)
_AT, _HERE = "/visits/0", "/as_left"
_TAKEN = ("stored", "already-stored")
_OURS = {"machine", "kind", "work"}
# Kinds of work -> the readings that make a baseline, one of each group.
_BASELINE: Mapping[str, tuple[tuple[str, ...], ...]] = {
    WorkKind.ROPING: (("rope_diameter",),),
    WorkKind.REGROOVING: (
        ("rope_diameter",),
        ("rope_crown_height", "bottom_clearance", "seat_band_width"),
    ),
    WorkKind.RIM_RENEWAL: (("rope_diameter",), ("rope_crown_height",)),
    WorkKind.SHEAVE_REPLACEMENT: (("rope_diameter",), ("rope_crown_height",)),
    WorkKind.SHORTENING: (("cwt_runby",),),
    WorkKind.EQUALISING: (of_group(Group.TENSION),),
}


def understand(*, machine: Machine, report: WorkReport, most: int) -> NewUpload:
    """Return the as-left visit as an upload of one. Raises NotTaken and intake's own.

    Without a visit it is an upload of nothing.
    """
    if report.as_left is None:
        return NewUpload(sent_at=None, visits=(), readings_count=0)
    for name in _OURS & set(report.as_left):
        raise NotTaken(
            "this is known from the work itself",
            pointer=f"{_HERE}/{name}",
            code="unknown-field",
        )
    visit = {
        "note": report.note,
        **report.as_left,
        "machine": machine.code,
        "kind": VisitKind.AS_LEFT,
        "work": {"kind": report.kind, "done_on": report.done_on.isoformat()},
    }
    upload = decode.decode(body={"visits": [visit]}, most=most)
    [understood] = upload.visits
    if understood.problem is not None:
        raise NotTaken(
            understood.problem.detail,
            pointer=_here(understood.problem.pointer),
            code=understood.problem.code,
        )
    _check_days(understood, machine, report)
    return upload


def store(
    *, scope: Scope, upload: NewUpload, row: Upload, received_at: datetime
) -> dict[str, Any] | None:
    """Store the visit and its good readings; return every reading's outcome."""
    if not upload.visits:
        return None
    taken = take(scope=scope, upload=upload, row=row, received_at=received_at)
    [visit] = taken.visits
    if visit.outcome in ("conflict", "already-stored"):
        raise WorkConflict(
            f"the visit {visit.reference!r} is stored already; what was left belongs "
            "to a visit of its own",
            pointer=f"{_HERE}/reference",
            code="reference-reused",
        )
    if visit.problem is not None and visit.problem.code != "nothing-taken":
        raise NotTaken(
            visit.problem.detail,
            pointer=_here(visit.problem.pointer),
            code=visit.problem.code,
        )
    found = outcome.answer(
        row=row,
        readings=taken.readings,
        visits=taken.visits,
        told=taken.told,
        stopped=taken.stops,
    )
    for entry in (*found["readings"], *found["visits"]):
        if "problem" in entry:
            entry["problem"]["pointer"] = _here(entry["problem"]["pointer"])
    return found


def values(
    *, upload: NewUpload, read: dict[str, Any] | None
) -> dict[str, list[tuple[int | None, float]]]:
    """Return what was stored as left: by kind, the part's number and the value.

    Readings that were refused or are held prove nothing.
    """
    taken = {
        each["reference"]
        for each in (read or {}).get("readings", ())
        if each["outcome"] in _TAKEN
    }
    found: dict[str, list[tuple[int | None, float]]] = {}
    for visit in upload.visits:
        for reading in visit.readings:
            if (
                isinstance(reading, NewReading)
                and reading.value is not None
                and reading.reference in taken
            ):
                of_kind = found.setdefault(reading.kind.code, [])
                of_kind.append((reading.number, reading.value))
    return found


def notices(*, report: WorkReport, upload: NewUpload) -> Iterator[Notice]:
    """Yield which baseline was not read as left."""
    read = {
        reading.kind.code
        for visit in upload.visits
        for reading in visit.readings
        if isinstance(reading, NewReading)
    }
    for group in _BASELINE.get(report.kind, ()):
        if read.isdisjoint(group):
            named = " or ".join(kind.replace("_", " ") for kind in group)
            yield Notice(
                code="baseline-missing",
                detail=f"no {named} was read as left: the new wear has no beginning "
                "of its own",
            )


def _check_days(visit: NewVisit, machine: Machine, report: WorkReport) -> None:
    """Raise NotTaken if something was read before the work, or long after it."""
    first, last = report.done_on, report.done_on + WITHIN
    moments = [(visit.visited_at, f"{_HERE}/visited_at")]
    moments += [
        (reading.taken_at, f"{_HERE}/readings/{number}/taken_at")
        for number, reading in enumerate(visit.readings)
        if isinstance(reading, NewReading)
    ]
    for moment, pointer in moments:
        day = periods.day_of(moment, machine=machine) if moment else None
        if day is not None and not first <= day <= last:
            raise NotTaken(
                f"read on {day}; as left is from {first}, the day of the work, to "
                f"{last}. Send what was read before it, or later, as a visit of its "
                "own",
                pointer=pointer,
                code="not-as-left",
            )


def _here(pointer: str) -> str:
    return pointer.replace(_AT, _HERE, 1) if pointer.startswith(_AT) else pointer
