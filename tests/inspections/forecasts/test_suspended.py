"""A forecast waits while its last reading is in doubt, and clears nothing meanwhile."""

from datetime import timedelta

import pytest

from inspections import condition
from inspections.decisions.future.lives import has_date
from inspections.forecasts import asking
from inspections.models import Assessment, Forecast, ForecastState, Grade, TrackPoint
from inspections.planning import budgeting
from inspections.reasons import Code, as_json, because
from reports.composition.outlook import outlook
from reports.composition.reader import Reader
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import NOW, STEADY

pytestmark = pytest.mark.django_db

A_MONTH = timedelta(days=31)


@pytest.fixture
def machine():
    cast = factories.cast()
    callers.confine(cast)
    found = stored.machines(cast, count=1)[0]
    found.cast = cast
    return found


def forecast(machine, levels, *, place="groove 1", **given):
    stored.track(machine, levels=levels, place=place, **given)
    stored.night(machine.cast)
    return stored.current(machine, place)


def test_stray_last_reading_suspends_until_someone_says_it_is_so(machine):
    found = forecast(machine, [*STEADY, (6.5, 1.9)])

    assert (found.state, found.reason) == (ForecastState.SUSPENDED, str(asking.STRAY))
    assert (found.p02_on, found.p50_on) == (None, None)
    assert found.level < 1.4

    TrackPoint.objects.filter(track=found.track, level=1.9).update(confirmed=True)
    stored.night(machine.cast, now=NOW + timedelta(days=1))

    sure = stored.current(machine)
    assert sure.state != ForecastState.SUSPENDED
    assert sure.level == pytest.approx(1.9, abs=0.06)
    assert sure.plan_before_on <= sure.last_on + A_MONTH
    assert sure.chance_before_next_visit > 0.5
    assert sure.readings_left_out == []


def test_deep_stray_is_planned_on_at_once_and_pulls_the_visit_forward(machine):
    steady = forecast(machine, [*STEADY, (6.5, 1.3)], place="groove 2")
    found = forecast(machine, [*STEADY, (6.5, 1.9)])

    assert found.state == ForecastState.SUSPENDED
    assert found.plan_before_on <= found.last_on + A_MONTH
    assert steady.plan_before_on > found.plan_before_on + 12 * A_MONTH
    assert found.chance_before_next_visit >= 0.5
    assert found.visit_before_on <= found.next_visit_on
    assert (
        condition.grade_of(
            assessment=Assessment(grade=Grade.IN_ORDER),
            forecasts=[found],
            today=NOW.date(),
        )
        == Grade.PLAN_WORK
    )


def test_step_back_of_one_place_asks_whether_it_was_mixed_up(machine):
    found = forecast(machine, [*STEADY, (6.3, 0.1)])

    assert found.state == ForecastState.SUSPENDED
    asked = because(Code.ASKED_STEPPED, day=stored.moment(6.3).date())
    assert (found.said, found.reason) == (as_json(asked), str(asked))
    assert found.p10_on is None
    # the old course stands until somebody says that the part is new
    before = forecast(machine, STEADY, place="groove 2")
    assert abs(found.plan_before_on - before.plan_before_on) < 9 * A_MONTH


def test_places_that_step_back_together_ask_whether_the_parts_are_new(machine):
    levels = [*STEADY, (6.3, 0.05)]
    stored.track(machine, levels=levels, place="groove 2")

    found = forecast(machine, levels)

    asked = because(Code.ASKED_STEPPED_TOGETHER, day=stored.moment(6.3).date())
    assert (found.said, found.reason) == (as_json(asked), str(asked))


def test_what_is_asked_about_is_budgeted_and_said_with_its_day(machine):
    found = forecast(machine, [*STEADY, (6.5, 1.9)])

    ahead = budgeting._ahead(machine.cast.scope(), [machine.pk])
    reader = Reader(family="METRIC", zone=NOW.tzinfo)
    said = outlook(found, reader=reader, today=NOW.date())

    assert found.state == ForecastState.SUSPENDED
    [limit] = ahead[machine.pk]
    assert limit.plan_before_on == found.plan_before_on
    assert has_date(limit)
    assert reader.day(found.plan_before_on) in said


def test_wear_that_only_heals_is_asked_about(machine):
    found = forecast(machine, [(t, 1.6 - 0.2 * t) for t in (1.0, 2.0, 3.0, 4.0, 5.0)])

    assert found.state == ForecastState.SUSPENDED
    assert found.p10_on is None
    assert found.plan_before_on is not None


def test_suspended_forecast_clears_no_finding(machine):
    found = forecast(machine, [*STEADY, (6.3, 0.1)])
    open_finding = Assessment(grade=Grade.ACT_NOW)

    grade = condition.grade_of(
        assessment=open_finding, forecasts=[found], today=NOW.date()
    )

    assert grade == Grade.ACT_NOW


def test_suspended_forecast_still_pulls_the_visit_forward(machine):
    found = forecast(machine, [*STEADY, (6.3, 0.1)], limit_level=1.4)

    assert found.state == ForecastState.SUSPENDED
    assert found.chance_before_next_visit > 0.01
    assert found.visit_before_on is not None
    assert found.visit_before_on >= NOW.date()


def test_safety_limit_that_may_be_met_before_the_next_visit_pulls_it_forward(machine):
    near = forecast(machine, STEADY, limit_level=1.4)
    far = forecast(machine, STEADY, place="groove 2", limit_level=9.0)
    comfort = forecast(machine, STEADY, place="groove 3", limit_level=1.4, safety=False)

    assert near.chance_before_next_visit > 0.01
    assert NOW.date() <= near.visit_before_on <= near.next_visit_on
    assert far.visit_before_on is None
    assert comfort.visit_before_on is None
    # safety is planned on P2, comfort on P10
    assert near.plan_before_on == near.p02_on
    assert comfort.plan_before_on == comfort.p10_on
    assert condition.visit_before([near, far, comfort]) == near.visit_before_on


def test_limit_already_passed_says_so(machine):
    found = forecast(machine, STEADY, limit_level=0.9)

    assert found.state == ForecastState.REACHED
    assert found.chance_already > 0.9
    assert "that it is reached already" in found.reason


def test_limit_that_moved_moves_the_dates_and_leaves_the_old_forecast(machine):
    before = forecast(machine, STEADY)
    before.track.limit_level = 1.6
    before.track.save()

    stored.night(machine.cast, now=NOW + timedelta(days=40))

    after = stored.current(machine)
    assert (before.limit, after.limit) == (2.0, 1.6)
    assert after.p50_on < before.p50_on
    assert Forecast.objects.get(pk=before.pk).current is False


@pytest.mark.parametrize(
    "levels",
    [
        # two readings at one instant
        [(2.0, 0.42), (2.0, 0.40), (4.0, 0.8), (5.0, 1.0)],
        # in no order
        [(5.0, 1.0), (1.0, 0.2), (4.0, 0.8), (2.0, 0.4)],
        # all the same
        [(1.0, 0.5), (2.0, 0.5), (3.0, 0.5), (4.0, 0.5)],
    ],
)
def test_odd_readings_have_dates_in_order(machine, levels):
    found = forecast(machine, levels)

    assert found.state in (ForecastState.PROVISIONAL, ForecastState.ESTABLISHED)
    dates = [found.p02_on, found.p10_on, found.p50_on, found.p90_on]
    dates = [day for day in dates if day is not None]
    assert len(dates) >= 2
    assert dates == sorted(dates)
    assert found.last_on == stored.moment(max(t for t, _ in levels)).date()


def test_place_whose_limit_is_not_known_says_so(machine):
    found = forecast(machine, STEADY, limit_level=None)

    assert found.state == ForecastState.NONE
    assert found.reason == "no limit is known for this place"
    # not worked out is not nought
    assert (found.level, found.level_sd, found.rate_per_year) == (None, None, None)


def test_limit_that_is_unsure_names_what_to_measure_first(machine):
    found = forecast(machine, STEADY, limit_sd=1.5, limit_dominated_by="car_mass_kg")
    sure = forecast(
        machine,
        STEADY,
        place="groove 2",
        limit_sd=0.02,
        limit_dominated_by="car_mass_kg",
    )

    assert found.measure_first == "car_mass_kg"
    assert sure.measure_first == ""
    assert found.limit_share > 0.5 > sure.limit_share


def test_limit_is_told_with_both_ends_and_planned_on_by_the_near_one(machine):
    forecast(machine, STEADY, limit_sd=0.3)
    near = forecast(machine, STEADY, place="groove 2", limit_level=1.4)
    found = stored.current(machine)

    path = f"/api/v1/forecasts/{found.pk}"
    told = callers.call(machine.cast, "GET", path).json()

    assert (told["limit_near"], told["limit_far"]) == (
        pytest.approx(1.4),
        pytest.approx(2.6),
    )
    # the limit alone is as unsure as that; no date by its middle is planned on
    assert found.plan_before_on < found.p50_on
    assert abs(found.plan_before_on - near.p50_on) < 4 * A_MONTH
