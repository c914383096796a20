"""The calendar by week: work to do, parts to order, visits due, hoistings to join."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from django.db.models import Min, Q, QuerySet
from django.db.models.functions import Least

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import inputs, queries
from inspections.decisions.costing import ACCESSED
from inspections.decisions.records import Estimate
from inspections.models import DueWork
from inspections.planning import portfolio

MOST_ENTRIES = 500
_WEEK = timedelta(days=7)


class EntryKind(StrEnum):
    """What falls on a day."""

    ORDER = "ORDER"
    DO = "DO"
    VISIT = "VISIT"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEntry:
    """One thing on a day; `line` where it is work, None where it is a visit."""

    day: date
    kind: EntryKind
    machine: Machine
    line: DueWork | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """One week from its Monday on, with what falls into it by day."""

    monday: date
    entries: Sequence[DayEntry]

    @property
    def number(self) -> int:
        """Return the week's number (ISO 8601)."""
        return self.monday.isocalendar().week

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)


@dataclass(frozen=True, slots=True, kw_only=True)
class Joinable:
    """Work of neighbours in one room that can share a hoisting, or an access alone.

    It is done from `window_from_on` on and before `due_before_on`.
    """

    building_name: str
    room: str
    window_from_on: date
    due_before_on: date
    lines: Sequence[DueWork]
    is_lifted: bool = True
    prices: Sequence[Estimate] = ()
    currency: str = ""

    @property
    def machines(self) -> int:
        """Return how many machines share it."""
        return len({line.machine_id for line in self.lines})

    @property
    def saves(self) -> Estimate | None:
        """Return what sharing instead of one each saves, by the rates that are known.

        Heavy parts that are lifted at one go share the access as well.
        """
        if not self.prices:
            return None
        spared = self.machines - 1
        return Estimate(
            low=spared * sum(price.low for price in self.prices),
            mid=spared * sum(price.mid for price in self.prices),
            high=spared * sum(price.high for price in self.prices),
        )

    @property
    def planned(self) -> Sequence[DueWork]:
        """Those lines that somebody has planned already."""
        return [line for line in self.lines if line.planned_work_id is not None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weeks:
    """Some weeks; `earlier` counts what lies before them and is not done."""

    weeks: Sequence[Week]
    earlier: int
    has_more: bool


def monday_of(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def calendar(*, scope: Scope, first: date, weeks: int) -> Weeks:
    """Return so many weeks from the one of `first` on, at most 500 entries."""
    monday = monday_of(first)
    end = monday + weeks * _WEEK
    lines = DueWork.objects.within(scope).filter(machine__retired_on=None)
    found = [
        *_of_lines(lines, monday, end),
        *_visits(scope, monday, end),
    ]
    found.sort(key=lambda each: (each.day, each.kind, each.machine.code))
    kept = found[:MOST_ENTRIES]
    return Weeks(
        weeks=[
            Week(monday=start, entries=[e for e in kept if monday_of(e.day) == start])
            for start in (monday + n * _WEEK for n in range(weeks))
        ],
        earlier=lines.filter(
            Q(due_before_on__lt=monday) | Q(order_by_on__lt=monday)
        ).count(),
        has_more=len(found) > MOST_ENTRIES,
    )


def _of_lines(lines: QuerySet[DueWork], monday: date, end: date) -> Iterable[DayEntry]:
    within = {"__gte": monday, "__lt": end}
    rows = lines.filter(
        Q(**{f"due_before_on{k}": v for k, v in within.items()})
        | Q(**{f"order_by_on{k}": v for k, v in within.items()})
    )
    rows = rows.select_related("machine", "building").order_by("rank_on", "pk")
    for line in rows[: MOST_ENTRIES + 1]:
        for kind, day in (
            (EntryKind.ORDER, line.order_by_on),
            (EntryKind.DO, line.due_before_on),
        ):
            if day is not None and monday <= day < end:
                yield DayEntry(day=day, kind=kind, machine=line.machine, line=line)


def _visits(scope: Scope, monday: date, end: date) -> Iterable[DayEntry]:
    rows = _visit_days(scope).filter(day__gte=monday, day__lt=end)
    return _entries(scope, rows[: MOST_ENTRIES + 1])


def late_visits(*, scope: Scope, today: date, most: int) -> Sequence[DayEntry]:
    """Return the machines that should have been visited before today, at most so many.

    A machine that was visited since has another day, once its forecast is made anew.
    """
    return list(_entries(scope, _visit_days(scope).filter(day__lt=today)[:most]))


def _visit_days(scope: Scope) -> Any:
    """Return each machine's next visit: its usual gap, or sooner where it should be."""
    return (
        queries.current_forecasts(scope=scope)
        .filter(machine__retired_on=None)
        .select_related(None)
        .order_by()
        .values("machine")
        .annotate(usual=Min("next_visit_on"), early=Min("visit_before_on"))
        # PostgreSQL's LEAST leaves out what is NULL.
        .annotate(day=Least("usual", "early"))
        .order_by("day", "machine")
    )


def _entries(scope: Scope, rows: Any) -> Iterable[DayEntry]:
    days = {row["machine"]: row["day"] for row in rows}
    machines = Machine.objects.within(scope).select_related("building").in_bulk(days)
    for pk, day in days.items():
        yield DayEntry(day=day, kind=EntryKind.VISIT, machine=machines[pk])


def joinable(*, scope: Scope, most: int) -> Sequence[Joinable]:
    """Return what neighbours can share: hoistings first, then accesses without one.

    What is lifted at one go has one access; work that shares only that stands apart,
    so that what is saved by two entries is not to be added up.
    """
    rows: Any = DueWork.objects.within(scope).filter(
        kind__in=ACCESSED, machine__retired_on=None, due_before_on__isnull=False
    )
    found = list(portfolio.by_building(rows).filter(machines__gt=1)[:most])
    ids = [pk for group in found for pk in group["lines"]]
    lines = rows.select_related("machine", "building").in_bulk(ids)
    terms = inputs.standing_terms(scope=scope)
    earlier = portfolio.earlier(terms)
    lifted: list[Joinable] = []
    entered: list[Joinable] = []
    for group in found:
        name = group["building__name"]
        of_group = [lines[pk] for pk in group["lines"]]
        own, others = portfolio.shared(of_group, earlier=earlier)
        lifted += (_joined(each, name, lines, terms, is_lifted=True) for each in own)
        entered += (
            _joined(each, name, lines, terms, is_lifted=False) for each in others
        )
    return [each for each in (*lifted, *entered) if each.machines > 1]


def _joined(
    each: portfolio.Shared,
    building_name: str,
    lines: Mapping[int, DueWork],
    terms: inputs.CurrentTerms,
    *,
    is_lifted: bool,
) -> Joinable:
    rates = terms.rates
    prices = (rates.hoisting, rates.access) if is_lifted else (rates.access,)
    return Joinable(
        building_name=building_name,
        room=each.room,
        window_from_on=each.window_from_on,
        due_before_on=each.due_before_on,
        lines=[lines[pk] for pk in each.lines],
        is_lifted=is_lifted,
        prices=[price for price in prices if price is not None],
        currency=rates.currency,
    )
