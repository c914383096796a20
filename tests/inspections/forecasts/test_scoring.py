"""Past forecasts get their verdicts; a class that stops being calibrated says so."""

from datetime import timedelta

import pytest

from fleet.platform.database.tenancy import acting_for
from inspections.forecasts import scoring
from inspections.models import Forecast, ForecastScore, IntervalVerdict
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import NOW, STEADY, UNDERCUT

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    found = factories.cast()
    callers.confine(found)
    return found


@pytest.fixture
def machine(north):
    return stored.machines(north, count=1)[0]


def day(years):
    return stored.moment(years).date()


def past(machine, *, low, high, levels=STEADY, place="groove 1", limit=1.0):
    """Store a forecast made after three years, and what was read since.

    The course meets 1.0 after five years.
    """
    row = stored.track(machine, levels=levels, place=place)
    return Forecast.objects.create(
        contractor_id=machine.contractor_id,
        machine=machine,
        track=row,
        quantity=row.quantity,
        place=place,
        class_name=UNDERCUT,
        as_of=stored.moment(3.0),
        current=False,
        state="ESTABLISHED",
        limit=limit,
        last_on=day(3.0),
        p02_on=day(low),
        p10_on=day(low),
        p50_on=day((low + high) / 2),
        p90_on=day(high),
        model_version="2",
    )


def score(cast, *, now=NOW):
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        return scoring.score(scope=scope, now=now)


@pytest.mark.parametrize(
    ("low", "high", "verdict"),
    [
        (4.0, 6.0, IntervalVerdict.HIT),
        (5.5, 6.2, IntervalVerdict.EARLY),
        (3.5, 4.5, IntervalVerdict.LATE),
    ],
)
def test_forecast_is_judged_by_the_day_its_limit_was_met(
    north, machine, low, high, verdict
):
    made = past(machine, low=low, high=high)

    assert score(north) == 1

    made.refresh_from_db()
    assert (made.verdict, made.verdict_on) == (verdict, NOW.date())


def test_limit_not_met_though_p90_has_passed_is_late(north, machine):
    made = past(machine, low=4.0, high=6.0, limit=9.0)

    score(north)

    made.refresh_from_db()
    assert made.verdict == IntervalVerdict.LATE


def test_forecast_that_cannot_be_judged_yet_has_no_verdict(north, machine):
    made = past(machine, low=4.0, high=9.0, limit=9.0)

    assert score(north) == 0

    made.refresh_from_db()
    assert (made.verdict, made.verdict_on) == ("", None)


def test_parts_renewed_before_their_limit_are_not_judged_late(north, machine):
    made = past(machine, low=4.0, high=6.0, limit=9.0)
    made.track.closed_on = day(5.0)
    made.track.save()

    score(north)

    made.refresh_from_db()
    assert made.verdict == ""


def test_forecasts_own_limit_counts_where_the_place_has_another_now(north, machine):
    made = past(machine, low=4.0, high=6.0)
    made.track.limit_level = 9.0
    made.track.save()

    score(north)

    made.refresh_from_db()
    assert made.verdict == IntervalVerdict.HIT


def test_scoring_twice_a_day_changes_nothing(north, machine):
    past(machine, low=4.0, high=6.0)
    score(north)
    before = list(ForecastScore.objects.values())

    assert score(north) == 0

    assert list(ForecastScore.objects.values()) == before


def test_scores_are_kept_day_by_day(north, machine):
    past(machine, low=4.0, high=6.0)
    score(north)

    score(north, now=NOW + timedelta(days=1))

    days = ForecastScore.objects.values_list("scored_on", flat=True)
    assert set(days) == {NOW.date(), NOW.date() + timedelta(days=1)}


def test_only_whole_cohorts_count_towards_the_share(north, machine):
    past(machine, low=4.0, high=6.0)
    # met early, but its P90 lies ahead: judged, and in no share yet
    past(machine, low=5.5, high=9.0, place="groove 2")

    score(north)

    row = ForecastScore.objects.get()
    assert (row.class_name, row.judged, row.hits, row.early) == (UNDERCUT, 1, 1.0, 0.0)
    assert (row.begun, row.begun_early) == (2, 0.5)
    assert row.pinball_low_years == pytest.approx(0.1, abs=0.01)


def test_class_that_stops_being_calibrated_says_so_at_every_date(north):
    machines = stored.machines(north, count=20)
    for machine in machines:
        past(machine, low=5.5, high=6.2)
        past(machine, low=5.5, high=6.2, place="groove 2")

    score(north)

    row = ForecastScore.objects.get()
    assert row.doubtful
    assert row.judged == 40
    assert "read its dates with care" in row.words
    stored.night(north)
    assert "read its dates with care" in stored.current(machines[0]).caution


def test_class_that_holds_what_it_says_is_not_doubted(north):
    for number, machine in enumerate(stored.machines(north, count=40)):
        low, high = ((4.0, 6.0), (5.5, 6.2), (3.5, 4.5))[
            0 if number % 10 < 8 else number % 10 - 7
        ]
        past(machine, low=low, high=high)

    score(north)

    row = ForecastScore.objects.get()
    assert (row.judged, row.hits, row.doubtful) == (40, 0.8, False)
    assert row.words == (
        "of 40 past forecasts of this class about 80 in 100 held, 10 came early"
    )


def test_contractor_without_past_has_no_score(north):
    assert score(north) == 0
    assert not ForecastScore.objects.exists()


def kept(machine):
    return Forecast.objects.filter(machine=machine, read_at__isnull=False)


def test_next_reading_is_held_against_what_was_forecast_for_it(north, machine):
    row = stored.track(machine, levels=[(t, 0.2 * t) for t in (1.0, 2.0, 3.0)])
    stored.idle(north)
    stored.night(north, now=stored.moment(3.1))
    stored.add(row, [(4.0, 0.8), (6.0, 2.3)])

    score(north)

    found = kept(machine).get()
    assert (found.read_at.date(), found.read_level) == (day(4.0), 0.8)
    # as forecast: neither in the first nor in the last tenth
    assert 0.2 < found.read_chance < 0.8
    assert 0.0 < found.read_score < 0.08
    # five deviations of the gauge, .4 mm, are expected by the sixth year only
    assert found.tested_at.date() == day(6.0)
    assert found.tested_chance > 0.99


def test_reading_that_ran_ahead_moves_dates_of_its_class_earlier(north):
    one, other = stored.machines(north, count=2)
    course = [(t, 0.2 * t) for t in (1.0, 2.0, 3.0)]
    row = stored.track(one, levels=course)
    stored.track(other, levels=course)
    stored.idle(north)
    stored.night(north, now=stored.moment(3.1))
    before = stored.current(other)
    stored.add(row, [(6.0, 2.3)])
    score(north)
    # of the other machine nothing new is known but how such forecasts did
    row.points.all().delete()
    stored.add(row, course)

    stored.night(north, now=stored.moment(3.2))

    found, after = ForecastScore.objects.get(), stored.current(other)
    assert (found.readings, sum(found.chances), found.chances[-1]) == (1, 1, 1)
    assert (found.tests, found.missed, found.tested_machines) == (1, 1, 1)
    assert found.factor == pytest.approx(1.135)
    assert after.planning_factor == found.factor
    assert after.plan_before_on < before.plan_before_on
    assert after.p02_on < before.p02_on
    assert (after.p50_on, after.p90_on) == (before.p50_on, before.p90_on)


def test_corrected_reading_is_held_against_its_forecast_anew(north, machine):
    row = stored.track(machine, levels=[(t, 0.2 * t) for t in (1.0, 2.0, 3.0)])
    stored.idle(north)
    stored.night(north, now=stored.moment(3.1))
    stored.add(row, [(4.0, 1.8)])
    score(north)
    assert kept(machine).get().read_chance > 0.99
    row.points.filter(level=1.8).update(level=0.8)

    score(north)

    assert 0.2 < kept(machine).get().read_chance < 0.8


def test_what_forecasts_of_one_machine_missed_is_kept_with_its_pairs(north):
    """On one machine both places ran ahead, on the other both fell behind."""
    ahead, behind = stored.machines(north, count=2)
    course = [(t, 0.2 * t) for t in (1.0, 2.0, 3.0)]
    rows = [
        (stored.track(each, levels=course, place=place), level)
        for each, level in ((ahead, 1.4), (behind, 0.6))
        for place in ("groove 1", "groove 2")
    ]
    stored.idle(north)
    stored.night(north, now=stored.moment(3.1))
    for row, level in rows:
        stored.add(row, [(4.0, level)])

    score(north)

    found = ForecastScore.objects.get()
    assert (found.pairs, found.periods) == (2, 1)
    assert found.shared_on_machine > 0.9
    assert found.shared_in_class < -0.9
