"""What is due in the portfolio, put together by building and by part."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.contrib.postgres.aggregates import ArrayAgg
from django.db.models import Count, F, Min, Q, QuerySet, Sum

from inspections.decisions.costing import ACCESSED
from inspections.inputs import CurrentTerms
from inspections.models import DueWork

_DAYS_A_YEAR = 365.25

_LINES = ArrayAgg("pk", order_by=("rank_on", "pk"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """Lines of one room that share a hoisting or an access, and a day that suits all.

    It is done from `window_from_on` on and before `due_before_on`.
    """

    window_from_on: date
    due_before_on: date
    room: str
    lines: tuple[int, ...]


def by_building(rows: QuerySet[DueWork]) -> QuerySet[Any]:
    """Return one row a building: how much is due, from when, and which lines."""
    return (
        rows.values("building_id", "building__code", "building__name")
        .annotate(
            key=F("building_id"),
            first_on=Min("rank_on"),
            first_due_on=Min("due_before_on"),
            order_by_on=Min("order_by_on"),
            works=Count("pk"),
            machines=Count("machine_id", distinct=True),
            hoists_count=Count("pk", filter=Q(hoists=True)),
            accesses_count=Count("pk", filter=Q(kind__in=ACCESSED)),
            lines=_LINES,
        )
        .order_by("first_on", "key")
    )


def by_part(rows: QuerySet[DueWork]) -> QuerySet[Any]:
    """Return one row a part: for how many machines it is wanted, and by when."""
    return (
        rows.exclude(part="")
        .values("part")
        .annotate(
            key=Min("pk"),
            first_on=Min("rank_on"),
            first_due_on=Min("due_before_on"),
            order_by_on=Min("order_by_on"),
            works=Count("pk"),
            machines=Count("machine_id", distinct=True),
            count=Sum("part_count"),
            lines=_LINES,
        )
        .order_by("first_on", "key")
    )


def with_codes(
    rows: QuerySet[DueWork], groups: Iterable[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """Return groups by part, each part as code and values beside its words."""
    each = list(groups)
    firsts = rows.filter(pk__in=[group["key"] for group in each]).order_by()
    said = dict(firsts.values_list("pk", "part_said"))
    return [{**group, "part_said": said.get(group["key"])} for group in each]


def earlier(terms: CurrentTerms) -> timedelta:
    """Return how much earlier work without a window of its own is done to share.

    It is the contractor's threshold "together_years", our rule by default.
    """
    return timedelta(days=_DAYS_A_YEAR * terms.thresholds.value("together_years"))


def hoistings(lines: Iterable[DueWork], *, earlier: timedelta) -> Sequence[Shared]:
    """Return the lines that lift heavy parts, put together by place and window.

    Those share a hoisting that go through one machine room of one building and whose
    windows have a day in common; where no room is registered the building is the place.
    Work without a window of its own may be done by `earlier` before its day. What has
    no day is lifted with nothing.
    """
    return _shared((line for line in lines if line.hoists), earlier)


def accesses(lines: Iterable[DueWork], *, earlier: timedelta) -> Sequence[Shared]:
    """Return heavy work put together likewise: what one access serves.

    New ropes and a cut in place need it too, though they lift nothing heavy.
    """
    return _shared((line for line in lines if line.kind in ACCESSED), earlier)


def shared(
    lines: Sequence[DueWork], *, earlier: timedelta
) -> tuple[Sequence[Shared], Sequence[Shared]]:
    """Return the hoistings, and the accesses that serve more than one of these does."""
    lifted = hoistings(lines, earlier=earlier)
    sets = [set(each.lines) for each in lifted]
    entered = accesses(lines, earlier=earlier)
    return lifted, [
        each for each in entered if not any(set(each.lines) <= own for own in sets)
    ]


def _shared(lines: Iterable[DueWork], earlier: timedelta) -> Sequence[Shared]:
    found = [
        _together(group)
        for _place, of_place in _by_place(lines)
        for group in _by_window(of_place, earlier)
    ]
    return sorted(found, key=lambda each: (each.due_before_on, each.lines))


@dataclass(frozen=True, slots=True)
class _Window:
    begin: date
    due: date
    line: DueWork


def _by_place(
    lines: Iterable[DueWork],
) -> Iterable[tuple[tuple[int, str], list[DueWork]]]:
    found: dict[tuple[int, str], list[DueWork]] = defaultdict(list)
    for line in lines:
        if line.due_before_on is not None:
            room = " ".join(line.machine.machine_room.split()).casefold()
            found[line.building_id, room].append(line)
    return found.items()


def _by_window(lines: Iterable[DueWork], earlier: timedelta) -> list[list[_Window]]:
    """Return groups with a day in common, as few as there can be.

    Taken by their last day: whatever begins by then is done with it.
    """
    windows = [
        _Window(min(line.window_from_on or _sooner(due, earlier), due), due, line)
        for line in lines
        if (due := line.due_before_on) is not None
    ]
    groups: list[list[_Window]] = []
    for each in sorted(windows, key=lambda w: (w.due, w.line.pk)):
        if groups and each.begin <= groups[-1][0].due:
            groups[-1].append(each)
        else:
            groups.append([each])
    return groups


def _sooner(day: date, earlier: timedelta) -> date:
    return day - earlier if day - date.min > earlier else date.min


def _together(group: list[_Window]) -> Shared:
    return Shared(
        window_from_on=max(each.begin for each in group),
        due_before_on=group[0].due,
        room=group[0].line.machine.machine_room,
        lines=tuple(each.line.pk for each in group),
    )
