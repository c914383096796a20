"""Neighbours joined: heavy parts of one room lifted at one go, on one day."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections import inputs
from inspections.models import DueWork, PlannedWork
from inspections.planning import changing, portfolio
from inspections.planning.problems import NotThisWay


@transaction.atomic
def join(
    *, scope: Scope, planned_ids: Sequence[int], now: datetime
) -> Sequence[PlannedWork]:
    """Move planned works of one building to the earliest of their days.

    No work comes later by it. They are neighbours as the list of what is due knows
    them: through one machine room, each lifting heavy parts, with a day in common.
    Raises NotFound, NotThisWay, NotOpen.
    """
    ids = set(planned_ids)
    rows = PlannedWork.objects.within(scope).filter(pk__in=ids)
    works = list(rows.select_for_update(of=("self",)).order_by("pk"))
    if len(works) != len(ids):
        raise NotFound
    _check_neighbours(scope, ids)
    first = min(work.due_before_on for work in works if work.due_before_on)
    codes = {line.planned_work_id: line.machine.code for line in _lines(scope, ids)}
    for work in works:
        others = ", ".join(code for pk, code in codes.items() if pk != work.pk)
        changes = {"due_before_on": first}
        if work.window_from_on is not None and work.window_from_on > first:
            changes["window_from_on"] = first
        changing.change(
            scope=scope,
            row=work,
            changes=changes,
            words=f"lifted in one hoisting with {others}",
            now=now,
        )
    return works


def _lines(scope: Scope, ids: set[int]) -> Sequence[DueWork]:
    rows = DueWork.objects.within(scope).filter(planned_work__in=ids)
    return list(rows.select_related("machine"))


def _check_neighbours(scope: Scope, ids: set[int]) -> None:
    lines = _lines(scope, ids)
    terms = inputs.standing_terms(scope=scope)
    together = portfolio.hoistings(lines, earlier=portfolio.earlier(terms))
    is_one = len(together) == 1 and len(together[0].lines) == len(ids)
    if len({line.building_id for line in lines}) != 1 or len(ids) < 2 or not is_one:
        raise NotThisWay(
            "these cannot share a hoisting: it takes two or more planned works that "
            "lift heavy parts through one machine room of one building, with a day in "
            "common between their first and last days"
        )
