"""When a report is due and which period it covers: pure dates.

A period is half-open, from the first day to the day after the last, in the
calendar of the building's own time zone. Days that a month does not have become
its last day. An hour that the clocks leave out is read with the offset before
the change, so it falls that much later; an hour they repeat means the first one.
"""

from calendar import monthrange
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from enum import StrEnum
from zoneinfo import ZoneInfo


class Recurrence(StrEnum):
    """How often a report comes."""

    MONTH = "MONTH"
    QUARTER = "QUARTER"
    YEAR = "YEAR"

    @property
    def months(self) -> int:
        """Return the length in months."""
        return {"MONTH": 1, "QUARTER": 3, "YEAR": 12}[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """The days from ``start`` up to but not including ``end``."""

    start: date
    end: date

    def __post_init__(self) -> None:
        if not self.start < self.end:
            raise ValueError(f"end is {self.end}; it must lie after {self.start}")

    def __contains__(self, day: date) -> bool:
        return self.start <= day < self.end


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """When a plan is due.

    The first month of a period is ``first_month`` or a whole number of periods
    away from it. The report on a period is due in the month after it, on
    ``day_of_month`` (1 to 31) at ``hour`` (0 to 23) of the zone's clock.
    """

    recurrence: Recurrence
    zone: ZoneInfo
    day_of_month: int = 1
    hour: int = 6
    first_month: int = 1

    def __post_init__(self) -> None:
        for name, value, low, high in (
            ("day_of_month", self.day_of_month, 1, 31),
            ("hour", self.hour, 0, 23),
            ("first_month", self.first_month, 1, 12),
        ):
            if not low <= value <= high:
                raise ValueError(f"{name} is {value}; it must be {low} to {high}")


def instant(*, day: date, at: time, zone: ZoneInfo) -> datetime:
    """Return the moment, in UTC, when the zone's clock shows a time on a day."""
    return datetime.combine(day, at, tzinfo=zone).astimezone(UTC)


def bounds(*, period: Period, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Return the moments, in UTC, between which a reading belongs to the period.

    The first belongs to it, the second does not.
    """
    midnight = time(0)
    return (
        instant(day=period.start, at=midnight, zone=zone),
        instant(day=period.end, at=midnight, zone=zone),
    )


def period_containing(
    *, day: date, recurrence: Recurrence, first_month: int = 1
) -> Period:
    """Return the period in which a day lies."""
    months = recurrence.months
    into = (_month_number(day) - (first_month - 1)) % months
    start = _month_number(day) - into
    return Period(start=_first_day(start), end=_first_day(start + months))


def period_before(*, day: date, recurrence: Recurrence, first_month: int = 1) -> Period:
    """Return the last period that was over when the day began."""
    current = period_containing(day=day, recurrence=recurrence, first_month=first_month)
    start = _month_number(current.start) - recurrence.months
    return Period(start=_first_day(start), end=current.start)


def period_reported(*, schedule: Schedule, due_at: datetime) -> Period:
    """Return the period a report that falls due at a moment is about."""
    return period_before(
        day=_aware(due_at).astimezone(schedule.zone).date(),
        recurrence=schedule.recurrence,
        first_month=schedule.first_month,
    )


def next_due_at(*, schedule: Schedule, after: datetime) -> datetime:
    """Return the first due moment later than a moment, in UTC."""
    day = _aware(after).astimezone(schedule.zone).date()
    number = _month_number(_current_period(schedule, day).start)
    while (due := _due_in(schedule, number)) <= after:
        number += schedule.recurrence.months
    return due


def latest_due_at(*, schedule: Schedule, at: datetime) -> datetime:
    """Return the last due moment not later than a moment, in UTC.

    However many were missed before it, catching up means this one alone.
    """
    day = _aware(at).astimezone(schedule.zone).date()
    number = _month_number(_current_period(schedule, day).end)
    while (due := _due_in(schedule, number)) > at:
        number -= schedule.recurrence.months
    return due


def _current_period(schedule: Schedule, day: date) -> Period:
    return period_containing(
        day=day, recurrence=schedule.recurrence, first_month=schedule.first_month
    )


def _due_in(schedule: Schedule, number: int) -> datetime:
    first = _first_day(number)
    last = monthrange(first.year, first.month)[1]
    day = first.replace(day=min(schedule.day_of_month, last))
    return instant(day=day, at=time(schedule.hour), zone=schedule.zone)


def _month_number(day: date) -> int:
    return day.year * 12 + day.month - 1


def _first_day(number: int) -> date:
    return date(number // 12, number % 12 + 1, 1)


def _aware(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise ValueError(f"{moment.isoformat()} has no offset; it must have one")
    return moment
