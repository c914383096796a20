"""Neighbours joined: heavy work of one room done on one day, at one access."""

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
    them: in one machine room, with a day in common, all of them lifting heavy parts or
    all in need of access.
    Raises NotFound, NotThisWay, NotOpen.
    """
    ids = set(planned_ids)
    rows = PlannedWork.objects.within(scope).filter(pk__in=ids)
    works = list(rows.select_for_update(of=("self",)).order_by("pk"))
    if len(works) != len(ids):
        raise NotFound
    shared = _shared(scope, ids)
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
            words=f"{shared} with {others}",
            now=now,
        )
    return works


def _lines(scope: Scope, ids: set[int]) -> Sequence[DueWork]:
    rows = DueWork.objects.within(scope).filter(planned_work__in=ids)
    return list(rows.select_related("machine"))


def _shared(scope: Scope, ids: set[int]) -> str:
    """Return what the works share, in words. Raises NotThisWay where nothing."""
    lines = _lines(scope, ids)
    earlier = portfolio.earlier(inputs.standing_terms(scope=scope))
    if len({line.building_id for line in lines}) == 1 and len(ids) > 1:
        for together, words in (
            (portfolio.hoistings, "lifted in one hoisting"),
            (portfolio.accesses, "done at one access"),
        ):
            found = together(lines, earlier=earlier)
            if len(found) == 1 and len(found[0].lines) == len(ids):
                return words
    raise NotThisWay(
        "these cannot share a hoisting or an access: it takes two or more planned "
        "works in one machine room of one building that lift heavy parts, renew ropes "
        "or cut grooves, with a day in common between their first and last days"
    )
