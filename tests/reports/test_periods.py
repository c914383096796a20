"""Due dates and periods: month ends, leap days, changes of the clocks."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from reports import periods
from reports.periods import Period, Recurrence, Schedule

WARSAW = ZoneInfo("Europe/Warsaw")
NEW_YORK = ZoneInfo("America/New_York")
CAIRO = ZoneInfo("Africa/Cairo")
KATHMANDU = ZoneInfo("Asia/Kathmandu")


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


def test_the_last_day_of_a_quarter_belongs_to_it_and_its_end_does_not():
    period = periods.period_containing(
        day=date(2026, 9, 30), recurrence=Recurrence.QUARTER
    )

    assert period == Period(start=date(2026, 7, 1), end=date(2026, 10, 1))
    assert date(2026, 9, 30) in period
    assert date(2026, 10, 1) not in period


def test_a_year_may_begin_in_any_month():
    period = periods.period_before(
        day=date(2026, 3, 31), recurrence=Recurrence.YEAR, first_month=4
    )

    assert period == Period(start=date(2024, 4, 1), end=date(2025, 4, 1))


@pytest.mark.parametrize("recurrence", list(Recurrence))
@pytest.mark.parametrize("first_month", [1, 2, 12])
def test_periods_follow_one_another_without_gap_or_overlap(recurrence, first_month):
    days = [date(2023, 11, 1) + timedelta(days=n) for n in range(900)]

    found = [
        periods.period_containing(
            day=day, recurrence=recurrence, first_month=first_month
        )
        for day in days
    ]

    assert all(day in period for day, period in zip(days, found, strict=True))
    for one, other in pairwise(found):
        assert one == other or one.end == other.start


@pytest.mark.parametrize(
    ("after", "due"),
    [
        ("2027-01-31T06:00:00+01:00", "2027-02-28T06:00:00+01:00"),
        ("2028-01-31T06:00:00+01:00", "2028-02-29T06:00:00+01:00"),
        ("2028-02-29T05:59:59+01:00", "2028-02-29T06:00:00+01:00"),
        ("2027-04-01T00:00:00+02:00", "2027-04-30T06:00:00+02:00"),
        ("2027-12-31T06:00:00+01:00", "2028-01-31T06:00:00+01:00"),
    ],
)
def test_day_31_is_the_last_day_of_every_month(after, due):
    schedule = Schedule(recurrence=Recurrence.MONTH, zone=WARSAW, day_of_month=31)

    assert periods.next_due_at(schedule=schedule, after=at(after)) == at(due)


def test_the_hour_stays_on_the_wall_clock_when_the_clocks_change():
    schedule = Schedule(recurrence=Recurrence.MONTH, zone=NEW_YORK, hour=6)

    march = periods.next_due_at(schedule=schedule, after=at("2026-02-15T00:00:00Z"))
    april = periods.next_due_at(schedule=schedule, after=march)

    assert march == at("2026-03-01T06:00:00-05:00")
    assert april == at("2026-04-01T06:00:00-04:00")


def test_an_hour_the_clocks_leave_out_falls_after_the_change():
    # Warsaw, 29 March 2026: 02:00 becomes 03:00 (tz database).
    schedule = Schedule(
        recurrence=Recurrence.MONTH, zone=WARSAW, day_of_month=29, hour=2
    )

    due = periods.next_due_at(schedule=schedule, after=at("2026-03-15T00:00:00Z"))

    assert due == at("2026-03-29T01:00:00Z")
    assert due.astimezone(WARSAW).hour == 3


def test_an_hour_the_clocks_repeat_is_taken_the_first_time_only():
    # Warsaw, 25 October 2026: 03:00 becomes 02:00 (tz database).
    schedule = Schedule(
        recurrence=Recurrence.MONTH, zone=WARSAW, day_of_month=25, hour=2
    )

    due = periods.next_due_at(schedule=schedule, after=at("2026-10-20T00:00:00Z"))

    assert due == at("2026-10-25T00:00:00Z")
    following = periods.next_due_at(schedule=schedule, after=due)
    assert following == at("2026-11-25T02:00:00+01:00")


def test_a_day_without_midnight_begins_when_the_clocks_have_changed():
    # Cairo, 24 April 2026: 00:00 becomes 01:00 (tz database).
    period = Period(start=date(2026, 4, 24), end=date(2026, 4, 25))

    start, end = periods.bounds(period=period, zone=CAIRO)

    assert start == at("2026-04-23T22:00:00Z")
    assert end - start == timedelta(hours=23)


def test_a_quarter_with_a_change_of_the_clocks_is_an_hour_short():
    period = Period(start=date(2026, 1, 1), end=date(2026, 4, 1))

    start, end = periods.bounds(period=period, zone=WARSAW)

    assert end - start == timedelta(days=90) - timedelta(hours=1)


def test_the_report_due_in_october_is_about_the_third_quarter():
    schedule = Schedule(recurrence=Recurrence.QUARTER, zone=KATHMANDU, day_of_month=5)

    due = periods.next_due_at(schedule=schedule, after=at("2026-07-05T06:00:00+05:45"))

    assert due == at("2026-10-05T06:00:00+05:45")
    assert periods.period_reported(schedule=schedule, due_at=due) == Period(
        start=date(2026, 7, 1), end=date(2026, 10, 1)
    )


def test_many_missed_months_are_caught_up_by_one_report():
    schedule = Schedule(recurrence=Recurrence.MONTH, zone=WARSAW, day_of_month=10)

    latest = periods.latest_due_at(schedule=schedule, at=at("2027-06-09T12:00:00Z"))

    assert latest == at("2027-05-10T06:00:00+02:00")
    following = periods.next_due_at(schedule=schedule, after=latest)
    assert following == at("2027-06-10T06:00:00+02:00")


@pytest.mark.parametrize("recurrence", list(Recurrence))
@pytest.mark.parametrize("day", [1, 28, 29, 30, 31])
def test_next_and_latest_agree_through_five_years(recurrence, day):
    schedule = Schedule(recurrence=recurrence, zone=NEW_YORK, day_of_month=day, hour=2)
    moment = at("2024-01-01T00:00:00Z")

    while moment.year < 2029:
        due = periods.next_due_at(schedule=schedule, after=moment)
        assert due > moment
        assert periods.latest_due_at(schedule=schedule, at=due) == due
        just_before = due - timedelta(microseconds=1)
        assert periods.next_due_at(schedule=schedule, after=just_before) == due
        assert periods.latest_due_at(schedule=schedule, at=just_before) < due
        moment = due


def test_a_moment_without_offset_is_refused():
    schedule = Schedule(recurrence=Recurrence.MONTH, zone=WARSAW)

    with pytest.raises(ValueError, match="no offset"):
        periods.next_due_at(schedule=schedule, after=datetime(2026, 1, 1))  # noqa: DTZ001


@pytest.mark.parametrize(
    ("name", "value"), [("day_of_month", 0), ("hour", 24), ("first_month", 13)]
)
def test_a_schedule_outside_the_calendar_is_refused(name, value):
    with pytest.raises(ValueError, match=f"{name} is {value}"):
        Schedule(recurrence=Recurrence.MONTH, zone=WARSAW, **{name: value})


def test_due_moments_are_in_utc():
    schedule = Schedule(recurrence=Recurrence.YEAR, zone=WARSAW)

    due = periods.next_due_at(schedule=schedule, after=at("2026-01-01T00:00:00Z"))

    assert due.tzinfo is UTC
