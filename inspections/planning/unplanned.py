"""Work that was reported done and that nobody had planned: a row for what it took."""

from datetime import date, datetime, timedelta

from django.db import transaction

from fleet.models import Machine, Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.register.choices import WorkKind
from inspections.models import PlannedWork, PlanState
from inspections.planning import kinds, steps
from inspections.planning.problems import NotOffered
from inspections.reasons import Code, because

# Older prices suggest no rate, see spending.
_RECENT = timedelta(days=3 * 365)
_MOST = 100


@transaction.atomic
def keep(*, scope: Scope, work_id: int, kind: str, now: datetime) -> PlannedWork:
    """Return the row of reported work for what it took, made where it has none.

    `kind` says which of the kinds that have rates it was: a regrooving in place or in
    the shop. It plans nothing: it is done. Raises NotFound, NotOffered.
    """
    work = _locked(scope, work_id)
    rows = PlannedWork.objects.within(scope).filter(machine=work.machine_id)
    known: PlannedWork | None = rows.filter(works__contains=[work.pk]).first()
    if known is not None:
        return known
    wanted = kinds.REPORTED_AS.get(kind)
    if wanted != work.kind:
        as_reported = WorkKind(work.kind).label
        raise NotOffered(
            f"{kinds.WORDS.get(kind, kind)} is not reported as {as_reported}",
            pointer="/kind",
        )
    row = PlannedWork.objects.create(
        contractor_id=work.contractor_id,
        machine_id=work.machine_id,
        kind=kind,
        state=PlanState.DONE,
        chosen_at=now,
        done_on=work.done_on,
        works=[work.pk],
    )
    said = because(Code.PLAN_REPORTED_DONE, day=work.done_on)
    steps.note(row, by=scope.membership_id, what=said)
    return row


def without_a_row(*, scope: Scope, machine: Machine, today: date) -> list[Work]:
    """Return a machine's work of three years that may be entered, newest first."""
    named = PlannedWork.objects.within(scope).filter(machine=machine)
    known = {pk for works in named.values_list("works", flat=True) for pk in works}
    rows = Work.objects.within(scope).filter(
        machine=machine,
        done_on__gte=today - _RECENT,
        kind__in=set(kinds.REPORTED_AS.values()),
    )
    found = rows.exclude(pk__in=known).order_by("-done_on", "-pk")
    return list(found[:_MOST])


def kinds_of(work: Work) -> list[str]:
    """Return the kinds with rates that reported work may have been."""
    return [
        kind for kind, reported in kinds.REPORTED_AS.items() if reported == work.kind
    ]


def _locked(scope: Scope, work_id: int) -> Work:
    rows = Work.objects.within(scope).select_for_update(of=("self",))
    found: Work | None = rows.filter(pk=work_id).first()
    if found is None:
        raise NotFound
    return found
