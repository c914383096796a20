"""The budget by quarter: a picture, the same as a table, and what moves it most."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from fleet.models import Building, Machine, Owner
from fleet.platform.visibility.acts import READ_AS_OFFICE
from inspections import wording
from inspections.decisions.budget import CurrenciesDiffer
from inspections.decisions.records import Budget, OptionKind, Quarter
from inspections.pages.base import VerdictPage
from inspections.pages.items import said
from inspections.pages.wishing import number_of
from inspections.planning import budgeting

_QUARTERS = 12
# As the API has them where nothing else is asked for: the same numbers.
_SEED, _DRAWS = 1, 500
MOST_AT_ONCE = budgeting.MOST_FUTURES // _DRAWS
"""Machines whose futures are drawn while somebody waits for the page; some ms each."""
PARTS = 200
"""Owners or buildings on a page of what may be asked for instead."""
_MOST_PAGES = 10_000
_HIGH, _WIDE = 180, 60
_GROUPS = (
    (OptionKind.RE_ROPE,),
    (OptionKind.REGROOVE_IN_PLACE, OptionKind.REGROOVE_IN_SHOP),
    (OptionKind.RENEW_RIM, OptionKind.REPLACE_SHEAVE),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A quarter in the picture, in its units from the top; and its numbers."""

    quarter: Quarter
    name: str
    counts: Sequence[float]
    left: int
    top: int
    height: int
    mean: int


class BudgetPage(VerdictPage):
    """Expected work and cost of the coming three years."""

    template_name = "inspections/pages/budget.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show the budget of all machines, of a building's or of an owner's."""
        building, owner = (
            self._row(model, number_of(request.GET, name))
            for model, name in ((Building, "building"), (Owner, "owner"))
        )
        shown: dict[str, Any] = {"only": building or owner}
        chosen = {
            "building_id": building.pk if building else None,
            "owner_id": owner.pk if owner else None,
        }
        count = budgeting.of(scope=self.scope, **chosen).count()
        if count > MOST_AT_ONCE:
            page = min(max(number_of(request.GET, "page") or 1, 1), _MOST_PAGES)
            return self.answer(context=shown | self._too_many(count, owner, page))
        try:
            found = budgeting.by_quarter(
                scope=self.scope,
                quarters=_QUARTERS,
                seed=_SEED,
                draws=_DRAWS,
                **chosen,
                now=timezone.now(),
            )
        except CurrenciesDiffer as error:
            return self.answer(context=shown | {"why_none": wording.say(error.reason)})
        return self.answer(context=shown | self._of(found))

    def _too_many(self, count: int, owner: Owner | None, page: int) -> dict[str, Any]:
        """Return what may be asked for instead: buildings of the owner, or owners."""
        if owner:
            rows = Building.objects.within(self.scope).filter(owner=owner)
        else:
            rows = Owner.objects.within(self.scope).all()
        start = (page - 1) * PARTS
        rows = rows.filter(retired_on=None).order_by("name", "pk")
        parts = list(rows[start : start + PARTS + 1])
        return {
            "too_many": count,
            "most": MOST_AT_ONCE,
            "by": "building" if owner else "owner",
            "parts": parts[:PARTS],
            "of": f"owner={owner.pk}&" if owner else "",
            "before": page - 1,
            "after": page + 1 if len(parts) > PARTS else 0,
        }

    def _row(self, model: Any, pk: int | None) -> Any:
        return model.objects.within(self.scope).filter(pk=pk).first() if pk else None

    def _of(self, found: Budget) -> dict[str, Any]:
        ids = [each.machine_key for each in found.dearest]
        machines = Machine.objects.within(self.scope).select_related("building")
        rows = machines.in_bulk(ids)
        boxes, top = _boxes(found.quarters)
        return {
            "budget": found,
            "boxes": boxes,
            "whole": _counts(found.whole),
            "top": top,
            "half": top / 2,
            "dearest": [(rows[e.machine_key], e.cost) for e in found.dearest],
            "remarks": [wording.say(each) for each in found.cautions],
            "without_cost": [(kind, said(item)) for kind, item in found.without_cost],
        }


def _boxes(quarters: Sequence[Quarter]) -> tuple[list[Box], float]:
    """Return the boxes, and the amount at the upper edge of the picture."""
    top = max((quarter.cost.p90 for quarter in quarters), default=0.0)
    top = max(top, max((quarter.cost.mean for quarter in quarters), default=0.0))

    def down(amount: float) -> int:
        return _HIGH - round(_HIGH * amount / top) if top > 0.0 else _HIGH

    return [
        Box(
            quarter=quarter,
            name=f"{quarter.begins_on.year} Q{(quarter.begins_on.month + 2) // 3}",
            counts=_counts(quarter),
            left=number * _WIDE,
            top=down(quarter.cost.p90),
            height=max(down(quarter.cost.p10) - down(quarter.cost.p90), 1),
            mean=down(quarter.cost.mean),
        )
        for number, quarter in enumerate(quarters)
    ], top


def _counts(quarter: Quarter) -> list[float]:
    """Return how many re-ropings, regroovings, and new rims or sheaves are expected."""
    return [
        sum(each.mean for kind, each in quarter.counts if kind in kinds)
        for kinds in _GROUPS
    ]
