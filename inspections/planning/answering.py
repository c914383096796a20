"""The owner answers a matter to be decided; the office says to have seen it."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import F

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound
from inspections.decisions.records import OptionKind
from inspections.models import DueState, DueWork, OwnerAnswer

_NO_WORK = [kind for kind in OptionKind if not kind.is_work]


class NothingToDecide(Conflict):
    """Nothing of this kind is to be decided at the machine any more."""

    code = "nothing-to-decide"


def to_decide(*, scope: Scope, machine_ids: Iterable[int]) -> list[DueWork]:
    """Return the works that wait for a decision: proposed or planned, not ordered.

    To watch, to measure or to leave out of service is no decision of the owner.
    """
    rows = DueWork.objects.within(scope).filter(machine__in=list(machine_ids))
    rows = rows.exclude(state=DueState.ORDERED).exclude(kind__in=_NO_WORK)
    return list(rows.select_related("machine").order_by("rank_on", "pk"))


def latest(
    *, scope: Scope, machine_ids: Iterable[int]
) -> Mapping[tuple[int, str], OwnerAnswer]:
    """Return the last answer to each work, by machine and kind."""
    rows = OwnerAnswer.objects.within(scope).filter(machine__in=list(machine_ids))
    rows = rows.order_by("machine_id", "kind", "-pk").distinct("machine_id", "kind")
    return {(row.machine_id, row.kind): row for row in rows}


@transaction.atomic
def answer(
    *,
    scope: Scope,
    machine_id: int,
    kind: str,
    said: str,
    words: str,
    now: datetime,
) -> OwnerAnswer:
    """Keep what the owner said, and what was asked. Raises NotFound, NothingToDecide.

    Nothing is ordered, planned or changed by it.
    """
    if not Machine.objects.within(scope).filter(pk=machine_id).exists():
        raise NotFound
    asked = [
        line
        for line in to_decide(scope=scope, machine_ids=[machine_id])
        if line.kind == kind
    ]
    if not asked:
        raise NothingToDecide
    row: OwnerAnswer = OwnerAnswer.objects.create(
        contractor_id=scope.contractor_id,
        machine_id=machine_id,
        kind=kind,
        answer=said,
        words=words,
        asked={
            "state": asked[0].state,
            "due_before_on": _text(asked[0].due_before_on),
            "order_by_on": _text(asked[0].order_by_on),
        },
        membership_id=scope.membership_id or 0,
        answered_at=now,
    )
    return row


def see(*, scope: Scope, answer_id: int, now: datetime) -> OwnerAnswer:
    """Note that the office has seen an answer; a second time changes nothing.

    Raises NotFound.
    """
    rows = OwnerAnswer.objects.within(scope).filter(pk=answer_id)
    rows.filter(seen_at=None).update(
        seen_at=now, seen_by=scope.membership_id, version=F("version") + 1
    )
    row: OwnerAnswer | None = rows.first()
    if row is None:
        raise NotFound
    return row


def _text(day: object) -> str | None:
    return str(day) if day else None
