"""Which machines of the portfolio are asked for, and in which order."""

from dataclasses import dataclass
from typing import Any

from django.db.models import DateField, F, Min, OuterRef, Q, QuerySet, Subquery

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.models import DueWork, Forecast, ForecastState
from inspections.states import STATES

URGENCY, CODE, BUILDING = "urgency", "code", "building"
FIRST_LIMIT, ORDER_BY = "first-limit", "order-by"
ORDERS = (URGENCY, CODE, BUILDING, FIRST_LIMIT, ORDER_BY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Which machines are asked for; "" and None for all.

    `unchecked` asks for those of which a check was not made, or too long ago.
    """

    state: str = ""
    unchecked: bool = False
    text: str = ""
    building: int | None = None
    owner: int | None = None
    order: str = URGENCY
    page: int = 1

    @property
    def narrows(self) -> bool:
        """Whether fewer than all machines are asked for."""
        return any((self.state, self.unchecked, self.text, self.building, self.owner))


def asked_for(
    rows: QuerySet[Any],
    wish: Wish,
    *,
    scope: Scope,
    of: str = "",
    at: str = "urgency",
) -> QuerySet[Any]:
    """Return those of the machines that are asked for.

    `of` leads from a row to its machine where the rows are states of machines; `at`
    names what says where each stands in `STATES`.
    """
    if wish.state in STATES:
        rows = rows.filter(**{at: STATES.index(wish.state)})
    if wish.unchecked:
        lacking = queries.unchecked(scope=scope).order_by().values("machine")
        rows = rows.filter(**{f"{of}pk__in": lacking})
    if wish.building is not None:
        rows = rows.filter(**{f"{of}building": wish.building})
    if wish.owner is not None:
        rows = rows.filter(**{f"{of}building__owner": wish.owner})
    if wish.text:
        found = Q()
        for name in ("code", "name", "building__name", "building__owner__name"):
            found |= Q(**{f"{of}{name}__icontains": wish.text})
        rows = rows.filter(found)
    return rows


def ordered(
    rows: QuerySet[Any],
    wish: Wish,
    *,
    scope: Scope,
    of: str = "",
    at: str = "urgency",
) -> QuerySet[Any]:
    """Return the machines in the order asked for; each order names every machine."""
    last = ("code", f"{of}pk")
    if wish.order == CODE:
        return rows.order_by(*last)
    if wish.order == BUILDING:
        building = f"{of}building"
        return rows.order_by(f"{building}__name", building, at, *last)
    if wish.order in (FIRST_LIMIT, ORDER_BY):
        first = _first_day(wish.order, scope, machine=f"{of}pk")
        rows = rows.annotate(first_on=Subquery(first, output_field=DateField()))
        return rows.order_by(F("first_on").asc(nulls_last=True), at, *last)
    return rows.order_by(at, *last)


def _first_day(order: str, scope: Scope, *, machine: str) -> QuerySet[Any]:
    """Return the first day to plan before, or to order, of a machine's rows."""
    each: QuerySet[Any] = DueWork.objects.within(scope)
    name = "order_by_on"
    if order == FIRST_LIMIT:
        each = Forecast.objects.within(scope).filter(current=True)
        each, name = each.exclude(state=ForecastState.BEYOND), "plan_before_on"
    first = each.filter(machine=OuterRef(machine)).order_by().values("machine")
    found: QuerySet[Any] = first.annotate(first=Min(name)).values("first")
    return found
