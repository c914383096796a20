"""Which machines of the portfolio are asked for, and in which order."""

from dataclasses import dataclass
from typing import Any

from django.db.models import DateField, F, Min, OuterRef, Q, QuerySet, Subquery

from fleet.platform.database.tenancy import Scope
from inspections.models import DueWork, Forecast, ForecastState
from inspections.overview.states import STATES

URGENCY, CODE, BUILDING = "urgency", "code", "building"
FIRST_LIMIT, ORDER_BY = "first-limit", "order-by"
ORDERS = (URGENCY, CODE, BUILDING, FIRST_LIMIT, ORDER_BY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Which machines are asked for; "" and None for all."""

    state: str = ""
    text: str = ""
    building: int | None = None
    owner: int | None = None
    order: str = URGENCY
    page: int = 1

    @property
    def narrows(self) -> bool:
        """Whether fewer than all machines are asked for."""
        return bool(self.state or self.text or self.building or self.owner)


def asked_for(rows: QuerySet[Any], wish: Wish) -> QuerySet[Any]:
    """Return those of the machines that are asked for."""
    if wish.state in STATES:
        rows = rows.filter(urgency=STATES.index(wish.state))
    if wish.building is not None:
        rows = rows.filter(building=wish.building)
    if wish.owner is not None:
        rows = rows.filter(building__owner=wish.owner)
    if wish.text:
        rows = rows.filter(
            Q(code__icontains=wish.text)
            | Q(name__icontains=wish.text)
            | Q(building__name__icontains=wish.text)
            | Q(building__owner__name__icontains=wish.text)
        )
    return rows


def ordered(rows: QuerySet[Any], wish: Wish, *, scope: Scope) -> QuerySet[Any]:
    """Return the machines in the order asked for; each order names every machine."""
    if wish.order == CODE:
        return rows.order_by("code", "pk")
    if wish.order == BUILDING:
        return rows.order_by("building__name", "building", "urgency", "code", "pk")
    if wish.order == FIRST_LIMIT:
        limits = Forecast.objects.within(scope).filter(current=True)
        limits = limits.exclude(state=ForecastState.BEYOND)
        return _by_day(rows, limits, "plan_before_on")
    if wish.order == ORDER_BY:
        return _by_day(rows, DueWork.objects.within(scope), "order_by_on")
    return rows.order_by("urgency", "code", "pk")


def _by_day(rows: QuerySet[Any], each: QuerySet[Any], name: str) -> QuerySet[Any]:
    """Return the machines by their first day of some rows; those without one last."""
    first = (
        each.filter(machine=OuterRef("pk"))
        .order_by()
        .values("machine")
        .annotate(first=Min(name))
        .values("first")
    )
    rows = rows.annotate(first_on=Subquery(first, output_field=DateField()))
    return rows.order_by(F("first_on").asc(nulls_last=True), "urgency", "code", "pk")
