"""The visit that readings belong to: stored once under its reference."""

from collections.abc import Mapping

from fleet.models import Work
from fleet.tenancy import Scope
from inspections.intake.problems import Refused
from inspections.intake.records import NewVisit
from inspections.intake.resolve import Parts
from inspections.models import Visit


def visit_row(*, scope: Scope, visit: NewVisit, parts: Mapping[str, Parts]) -> int:
    """Return the id of the visit's row, storing it if it is new. Raises Refused."""
    if visit.problem is not None:
        raise Refused(
            visit.problem.detail, pointer=visit.problem.pointer, code=visit.problem.code
        )
    found = parts.get(visit.machine)
    if found is None:
        raise Refused(
            f"there is no machine {visit.machine!r} within your reach",
            pointer=f"{visit.pointer}/machine",
            code="unknown-machine",
        )
    stored = Visit.objects.within(scope).filter(reference=visit.reference).first()
    if stored is not None:
        if stored.machine_id != found.machine.pk:
            raise Refused(
                "this visit is stored for another machine",
                pointer=f"{visit.pointer}/reference",
                code="reference-reused",
            )
        return stored.pk
    return Visit.objects.create(
        contractor_id=scope.contractor_id,
        machine=found.machine,
        reference=visit.reference,
        kind=visit.kind,
        visited_at=visit.visited_at,
        membership_id=scope.membership_id,
        note=visit.note,
        work=_work(scope=scope, visit=visit, machine_id=found.machine.pk),
    ).pk


def _work(*, scope: Scope, visit: NewVisit, machine_id: int) -> Work | None:
    """Return the work that an as-left visit belongs to. Raises Refused."""
    if not visit.work_kind:
        return None
    work = (
        Work.objects.within(scope)
        .filter(machine_id=machine_id, kind=visit.work_kind, done_on=visit.work_done_on)
        .first()
    )
    if work is None:
        raise Refused(
            f"no {visit.work_kind} of {visit.work_done_on} is registered here",
            pointer=f"{visit.pointer}/work",
            code="unknown-work",
        )
    return work
