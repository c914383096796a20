"""The visits that readings belong to: each stored once under its reference."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from inspections.intake.problems import Problem, RefusedReading
from inspections.intake.resolve import PartPeriods
from inspections.intake.understood import NewVisit
from inspections.models import Visit

WorkKey = tuple[int, str, date]


@dataclass(frozen=True, slots=True, kw_only=True)
class Registered:
    """What the visits of one upload may lean on, loaded once."""

    parts: Mapping[str, PartPeriods]
    works: Mapping[WorkKey, int]
    latest: datetime


def check(*, visit: NewVisit, registered: Registered) -> None:
    """Raise Refused if the visit itself cannot be taken, and with it its readings."""
    if visit.problem is not None:
        raise RefusedReading(
            visit.problem.detail, pointer=visit.problem.pointer, code=visit.problem.code
        )
    if visit.machine not in registered.parts:
        raise RefusedReading(
            f"there is no machine {visit.machine!r} within your reach",
            pointer=f"{visit.pointer}/machine",
            code="unknown-machine",
        )
    if visit.visited_at is None or visit.visited_at > registered.latest:
        raise RefusedReading(
            "this time lies in the future",
            pointer=f"{visit.pointer}/visited_at",
            code="in-the-future",
        )
    if visit.work_kind and _work_key(visit, registered) not in registered.works:
        raise RefusedReading(
            f"no {visit.work_kind} of {visit.work_done_on} is registered here",
            pointer=f"{visit.pointer}/work",
            code="unknown-work",
        )


def store(
    *, scope: Scope, visits: Iterable[NewVisit], registered: Registered
) -> dict[str, tuple[Visit, bool]]:
    """Store the visits that are new; return (row, whether new) by reference."""
    fresh = {visit.reference: visit for visit in reversed(list(visits))}
    references = sorted(fresh)
    before = set(_rows(scope, references))
    # In order of their references, so that two uploads of the same visits at once
    # wait for each other instead of blocking each other.
    Visit.objects.bulk_create(
        [
            _row(scope=scope, visit=fresh[reference], registered=registered)
            for reference in references
            if reference not in before
        ],
        ignore_conflicts=True,
    )
    return {
        reference: (row, reference not in before)
        for reference, row in _rows(scope, references).items()
    }


def difference(*, visit: NewVisit, stored: Visit, parts: PartPeriods) -> Problem | None:
    """Return how a visit differs from what is stored under its reference."""
    if stored.machine_id != parts.machine.pk:
        return _reused(visit, "machine", "this visit is stored for another machine")
    sent = (visit.visited_at, visit.kind, visit.note)
    if sent != (stored.visited_at, stored.kind, stored.note):
        return _reused(
            visit, "reference", "this visit is stored with other content and unchanged"
        )
    return None


def load_works(
    *, scope: Scope, visits: Iterable[NewVisit], parts: Mapping[str, PartPeriods]
) -> dict[WorkKey, int]:
    """Return the works that as-left visits name, by machine, kind and day."""
    machines = {
        parts[visit.machine].machine.pk
        for visit in visits
        if visit.work_kind and visit.machine in parts
    }
    if not machines:
        return {}
    rows = Work.objects.within(scope).filter(machine__in=machines).order_by("-pk")
    return {(work.machine_id, work.kind, work.done_on): work.pk for work in rows}


def _rows(scope: Scope, references: list[str]) -> dict[str, Visit]:
    found = Visit.objects.within(scope).filter(reference__in=references)
    return {visit.reference: visit for visit in found}


def _row(*, scope: Scope, visit: NewVisit, registered: Registered) -> Visit:
    if visit.visited_at is None or scope.membership_id is None:
        raise ValueError("a visit has a time and someone who made it")
    return Visit(
        contractor_id=scope.contractor_id,
        machine=registered.parts[visit.machine].machine,
        reference=visit.reference,
        kind=visit.kind,
        visited_at=visit.visited_at,
        membership_id=scope.membership_id,
        note=visit.note,
        work_id=registered.works.get(_work_key(visit, registered)),
    )


def _work_key(visit: NewVisit, registered: Registered) -> WorkKey:
    machine_id = registered.parts[visit.machine].machine.pk
    return machine_id, visit.work_kind, visit.work_done_on or date.min


def _reused(visit: NewVisit, field: str, detail: str) -> Problem:
    return Problem(
        pointer=f"{visit.pointer}/{field}", code="reference-reused", detail=detail
    )
