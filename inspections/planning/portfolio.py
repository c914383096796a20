"""What is due in the portfolio, put together by building and by part."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.contrib.postgres.aggregates import ArrayAgg
from django.db.models import Count, F, Min, Q, QuerySet, Sum

from inspections.models import DueWork

# Heavy parts of neighbours are lifted at one go where their dates lie this near; as
# the threshold "together_years" has it by default, our rule.
TOGETHER = timedelta(days=365)

_LINES = ArrayAgg("pk", order_by=("rank_on", "pk"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hoisting:
    """Lines of one building whose heavy parts can be lifted at one go."""

    due_before_on: date | None
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


def hoistings(lines: Iterable[DueWork]) -> Sequence[Hoisting]:
    """Return the lines that lift heavy parts, put together where dates lie near.

    The first of each is the earliest; what has no date is lifted with nothing.
    """
    found: list[list[DueWork]] = []
    dated = [
        (line.due_before_on, line.pk, line)
        for line in lines
        if line.hoists and line.due_before_on is not None
    ]
    for day, _, line in sorted(dated):
        first = found[-1][0].due_before_on if found else None
        if first is not None and day - first <= TOGETHER:
            found[-1].append(line)
        else:
            found.append([line])
    return [
        Hoisting(
            due_before_on=group[0].due_before_on,
            lines=tuple(line.pk for line in group),
        )
        for group in found
    ]
