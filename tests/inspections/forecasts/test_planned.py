"""The stored date to plan on: never later because something worse was read."""

from datetime import timedelta

import numpy as np
import pytest

from inspections.forecasts import showing
from inspections.models import ForecastState, TrackPoint
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import NOW, STEADY

pytestmark = pytest.mark.django_db

A_DAY = timedelta(days=1)
HOUR = 1 / 365.25 / 24
PLACES = ("groove 1", "groove 2", "groove 3")


@pytest.fixture
def cast():
    found = factories.cast()
    callers.confine(found)
    return found


def random_levels(rng):
    """Return a course of one to seven readings, with strays to either side."""
    times = np.sort(rng.uniform(0.3, 6.0, rng.integers(1, 8)))
    levels = rng.lognormal(np.log(0.2), 0.5) * times + rng.normal(0, 0.08, times.size)
    levels[rng.random(times.size) < 0.15] += rng.normal()
    return list(zip(times.tolist(), levels.tolist(), strict=True))


def test_deeper_latest_reading_moves_no_date_later_and_makes_none_vanish(cast):
    rng = np.random.default_rng(21)
    machines = stored.machines(cast, count=16)
    for machine in machines:
        for place in PLACES:
            limit = float(rng.uniform(0.8, 3.0))
            stored.track(
                machine, levels=random_levels(rng), place=place, limit_level=limit
            )
    stored.night(cast)
    before = {m.pk: stored.current(m) for m in machines}
    for machine in machines:
        last = TrackPoint.objects.filter(track=before[machine.pk].track).last()
        last.level += float(rng.choice([0.05, 0.3, 1.5]))
        last.save()

    stored.night(cast, now=NOW + A_DAY)

    moved = 0
    for machine in machines:
        was, now = before[machine.pk], stored.current(machine)
        if was.plan_before_on is None:
            continue
        assert now.plan_before_on is not None, (was.state, now.state)
        assert now.plan_before_on <= was.plan_before_on + A_DAY
        moved += now.plan_before_on < was.plan_before_on - 30 * A_DAY
    assert moved > 5


def test_earlier_deep_stray_stands_until_later_readings_bound_it(cast):
    machine = stored.machines(cast, count=1)[0]
    stray = [*STEADY[:4], (4.5, 1.8), (5.0, 1.0), (6.0, 1.2)]
    plain = [point for point in stray if point[1] != 1.8]
    for place, levels in zip(PLACES, (stray, stray, plain), strict=True):
        stored.track(machine, levels=levels, place=place)
    bounded = TrackPoint.objects.filter(track__place="groove 2", level=1.8)
    assert bounded.update(counts_as=1.36) == 1

    stored.night(cast)

    stands, left, never = (stored.current(machine, place) for place in PLACES)
    # the fit does not follow it: the level is that of the others
    assert stands.level == pytest.approx(never.level, abs=0.1)
    assert len(stands.readings_left_out) == 1
    assert stands.plan_before_on < left.plan_before_on < never.plan_before_on
    assert stands.plan_before_on < stands.last_on + 180 * A_DAY


def test_two_visits_within_hours_leave_levels_near_the_readings(cast):
    machine = stored.machines(cast, count=1)[0]
    levels = [(5.0, 1.0), (5.0 + 2 * HOUR, 1.1), (6.0, 1.25)]
    stored.track(machine, levels=levels, tolerance=None)

    stored.night(cast)

    found = stored.current(machine)
    assert found.level == pytest.approx(1.2, abs=0.2)
    assert found.level_sd < 0.2
    assert found.chance_already < 0.01
    assert stored.BEGUN < found.last_on < found.plan_before_on


def test_numbers_that_cannot_be_are_said_and_asked_for_and_never_shown(cast):
    machine = stored.machines(cast, count=1)[0]
    stored.track(machine, levels=[(1.0, -50.0), (2.0, 1e6)], tolerance=None)

    stored.night(cast)

    found = stored.current(machine)
    assert (found.state, found.reason) == (
        ForecastState.NONE,
        str(showing.NOT_COMPUTABLE),
    )
    assert (found.level, found.level_sd, found.rate_per_year) == (None, None, None)
    assert (found.p02_on, found.p10_on, found.p50_on) == (None, None, None)
    # it never looks better for it: there is a day to plan on, and one to look by
    assert found.plan_before_on <= found.last_on + A_DAY
    assert found.visit_before_on == NOW.date()
    assert found.chance_before_next_visit >= 0.9


def test_no_date_lies_before_the_part_was_fitted(cast):
    machine = stored.machines(cast, count=1)[0]
    stored.track(machine, levels=[(1.0, 9.0), (2.0, 9.1), (3.0, 9.2)], tolerance=None)

    stored.night(cast)

    found = stored.current(machine)
    assert found.state == ForecastState.REACHED
    days = (found.p02_on, found.p10_on, found.p50_on, found.plan_before_on)
    assert min(days) >= stored.BEGUN


def test_machine_that_runs_ahead_is_planned_earlier_and_says_so(cast):
    even, faster = stored.machines(cast, count=2)
    worn = [(float(year), 0.1 * year) for year in range(1, 7)]
    for place in PLACES:
        stored.track(even, levels=worn, place=place)
        stored.track(faster, levels=[*worn[:4], (5.0, 0.75), (6.0, 1.1)], place=place)

    stored.night(cast)

    plain, ahead = stored.current(even), stored.current(faster)
    said = "the last readings run ahead of what the earlier ones promised"
    assert said in ahead.caution
    assert said not in plain.caution
    assert ahead.plan_before_on < ahead.p02_on
    assert plain.plan_before_on == plain.p02_on


def test_seat_worn_through_its_layer_before_its_limit_is_planned_earlier_and_says_so(
    cast,
):
    plain, hardened = stored.machines(cast, count=2)
    for machine, layer in ((plain, None), (hardened, 1.0)):
        for place in PLACES:
            stored.track(machine, levels=STEADY[:4], place=place, layer=layer)

    stored.night(cast)

    even, softer = stored.current(plain), stored.current(hardened)
    assert "3 times as fast" in softer.caution
    assert "3 times as fast" not in even.caution
    assert softer.plan_before_on < even.plan_before_on - 100 * A_DAY
    assert softer.p50_on == even.p50_on
