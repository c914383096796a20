"""The date to plan on never comes later because the latest reading is worse."""

from dataclasses import replace

import numpy as np
import pytest

from inspections.projection import forecasting, hyper, planning, series
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.limits import Limits
from inspections.projection.usage import Usage

A_DAY = 1 / 365.25
RULE = (0.02, 0.10)
GROOVES = 3
BEGINNING = hyper.starting(rate_per_clock=np.array([0.2]))
CLASSES = {
    "as assumed": BEGINNING,
    "even": replace(BEGINNING, drift=np.zeros(1), burst=np.zeros(1)),
    "bent and bedding in": replace(
        BEGINNING,
        curvature=np.array([0.7]),
        curvature_weights=np.array([[0.05, 0.8, 0.1, 0.05]]),
        bedding_mm=np.array([0.2]),
        bedding_sd_mm=np.array([0.1]),
    ),
    "wandering": replace(BEGINNING, drift=np.array([0.3]), burst=np.array([0.5])),
}
STEADY = [(float(year), 0.2 * year) for year in range(7)]


def random_fleet(rng: np.random.Generator, *, machines: int) -> dict:
    """Return series of every length, with strays, some read twice within minutes."""
    count = machines * GROOVES
    machine = np.repeat(np.exp(rng.normal(np.log(0.2), 0.5, machines)), GROOVES)
    rate = machine * np.exp(rng.normal(0.0, 0.3, count))
    known = rng.random(count) < 0.7
    rows: list[tuple[int, float, float, bool]] = []
    for number in range(count):
        times = np.sort(rng.uniform(0.1, 9.0, rng.integers(1, 9)))
        if times.size > 1 and rng.random() < 0.1:
            times[1] = times[0] + 1e-6
        levels = rate[number] * times + rng.normal(0.0, 0.1, times.size)
        levels[rng.random(times.size) < 0.08] += rng.normal()
        if known[number]:
            rows.append((number, 0.0, 0.0, True))
        rows += [(number, t, y, False) for t, y in zip(times, levels, strict=True)]
    of, clock, level, installation = map(np.array, zip(*rows, strict=True))
    found = series.arrange(
        series=of,
        clock=clock,
        level_mm=level,
        noise_mm=np.full(of.size, 0.1),
        installation=installation,
        series_count=count,
    )
    return {
        "readings": found.readings,
        "hierarchy": Hierarchy(
            epoch_of_series=np.arange(count) // GROOVES,
            machine_of_epoch=np.arange(machines),
            class_of_machine=np.zeros(machines, dtype=int),
        ),
        "limits": Limits(
            limit_mm=rng.uniform(0.8, 4.0, count),
            limit_sd_mm=rng.choice([0.0, 0.1, 0.5], count),
        ),
        "known_installation": known,
    }


def deepened(given: dict, which: np.ndarray, by: np.ndarray) -> dict:
    """Return the fleet with the last reading of some series deeper."""
    readings = given["readings"]
    levels = readings.level_mm.copy()
    levels[readings.bounds[which + 1] - 1] += by
    return given | {"readings": replace(readings, level_mm=levels)}


@pytest.mark.parametrize("name", CLASSES)
@pytest.mark.parametrize("seed", [11, 12])
def test_deeper_last_reading_never_moves_the_date_later(name, seed):
    rng = np.random.default_rng(seed)
    machines = 700
    given = random_fleet(rng, machines=machines)
    which = rng.integers(0, GROOVES, machines) + GROOVES * np.arange(machines)
    by = np.abs(rng.normal(0.0, rng.choice([0.05, 0.3, 2.0], machines)))

    before = planned(given, CLASSES[name])
    after = planned(deepened(given, which, by), CLASSES[name])

    assert not np.isnan(before).any()
    assert (after - before)[:, which].max() <= A_DAY
    # and the readings do move it: most dates come earlier, and by more than a month
    assert np.mean((before - after)[0, which] > 1 / 12) > 0.5


def test_robust_fit_alone_would_move_dates_later():
    """What the curve is for: without it this many dates of 700 move later."""
    rng = np.random.default_rng(11)
    given = random_fleet(rng, machines=700)
    which = rng.integers(0, GROOVES, 700) + GROOVES * np.arange(700)
    by = np.abs(rng.normal(0.0, rng.choice([0.05, 0.3, 2.0], 700)))

    def early(arguments: dict) -> np.ndarray:
        found = forecasting.forecast(
            **arguments, hyper=BEGINNING, horizon_years=np.zeros(2100)
        )
        return found.quantiles_years[0, which]

    later = early(deepened(given, which, by)) - early(given)

    assert np.count_nonzero(later > A_DAY) > 20


def test_deeper_last_reading_never_moves_the_date_later_on_trips():
    rng = np.random.default_rng(13)
    given = random_fleet(rng, machines=200)
    count = 200 * GROOVES
    which = np.arange(count)[::GROOVES]
    usage = Usage(
        log_per_year=rng.normal(0.0, 0.4, count),
        log_variance=np.full(count, 0.02),
        growth=rng.normal(0.0, 0.05, count),
        growth_variance=np.full(count, 1e-4),
        log_growth_covariance=np.zeros(count),
        wander_variance=np.full(count, 1e-3),
        known=np.ones(count, dtype=bool),
    )

    before = planned(given | {"usage": usage})
    after = planned(
        deepened(given, which, rng.exponential(0.3, which.size)) | {"usage": usage}
    )

    assert (after - before)[:, which].max() <= A_DAY


def test_readings_that_agree_are_planned_as_they_are_forecast():
    rng = np.random.default_rng(14)
    given = random_fleet(rng, machines=400)

    dates = planned(given)

    forecast = forecasting.forecast(
        **given, hyper=BEGINNING, horizon_years=np.zeros(400 * GROOVES)
    ).quantiles_years[:2]
    far = forecast[0] > 0.5
    ratio = (dates / forecast)[:, far]
    assert np.median(ratio, axis=1) == pytest.approx([1.0, 1.0], abs=0.01)
    assert np.quantile(ratio[0], 0.25) > 0.95


def test_stray_to_the_good_side_counts_as_the_lowest_that_can_be_believed(arguments):
    low, lower, least = (
        plan(arguments([*STEADY, (6.5, last)], known=True, limit_mm=2.0))
        for last in (0.9, 0.1, -5.0)
    )
    as_promised = plan(arguments([*STEADY, (6.5, 1.3)], known=True, limit_mm=2.0))
    without = plan(arguments(STEADY, known=True, limit_mm=2.0)) - 0.5

    assert low.tolist() == lower.tolist() == least.tolist()
    assert np.all((as_promised < low) & (low < as_promised + 0.5))
    # where a straight line through all of it would give another three years
    assert np.all(low < without + 0.8)


def test_stray_to_the_bad_side_is_planned_on_at_once(arguments):
    found = plan(arguments([*STEADY, (6.5, 1.9)], known=True, limit_mm=2.0))

    assert found.max() <= 0.1


def test_first_reading_is_planned_on_as_it_is_forecast(arguments, class_values):
    given = arguments([(3.0, 0.8)], limit_mm=2.0)

    found = plan(given)

    forecast = forecasting.forecast(**given, hyper=class_values).quantiles_years
    assert found == pytest.approx(forecast[:2, 0], rel=0.1)
    assert plan(arguments([(3.0, 2.5)], limit_mm=2.0)).max() <= 0.0


def test_series_without_reading_or_limit_have_no_date(arguments):
    given = arguments([(1.0, 0.5)], [(1.0, 0.4), (2.0, 0.5)], [(2.0, 0.4)])
    limits = Limits(limit_mm=np.array([3.0, np.nan, -1.0]), limit_sd_mm=np.zeros(3))

    found = plan(given | {"limits": limits}, whole=True)

    assert np.isfinite(found[:, 0]).all()
    assert np.isposinf(found[:, 1:]).all()


def test_others_say_the_same_of_a_series_whatever_it_says_itself(arguments):
    """A sister that wears fast draws the date nearer; the series itself not twice."""
    slow = [(0.0, 0.0), (3.0, 0.3), (6.0, 0.6)]
    fast = [(0.0, 0.0), (3.0, 1.2), (6.0, 2.4)]

    own = [(0.0, 0.0), (6.0, 1.0)]
    beside_slow = plan(arguments(own, slow, slow, known=True), whole=True)[:, 0]
    beside_fast = plan(arguments(own, fast, fast, known=True), whole=True)[:, 0]

    assert np.all(beside_fast < beside_slow)


@pytest.mark.parametrize("passed", [(7.0,), (5.0, 6.0, 7.0), (2.0, 3.0, 4.0)])
def test_level_only_passed_is_planned_on_as_the_earlier_of_two(arguments, passed):
    levels = [(float(year), min(0.2 * year, 0.9)) for year in range(1, 8)]
    given = arguments([(0.0, 0.0), *levels], known=True, limit_mm=2.0)
    at_least = np.isin(given["readings"].clock, passed)

    found = plan(given | {"at_least": at_least})

    as_read = plan(given)
    readings = given["readings"]
    # half of the limit: the seat may be anywhere
    noise = np.where(at_least, 1.0, readings.noise_mm)
    unsaid = plan(given | {"readings": replace(readings, noise_mm=noise)})
    assert found.tolist() == np.minimum(as_read, unsaid).tolist()
    # either may be the earlier
    assert np.any(found < as_read) or np.any(found < unsaid)


def test_levels_only_passed_that_never_rise_do_not_look_like_wear_that_has_stopped(
    arguments,
):
    worn = [(0.0, 0.0), *[(float(year), 0.25 * year) for year in range(1, 5)]]
    passed = [(float(year), 1.0) for year in range(5, 9)]
    given = arguments([*worn, *passed], known=True, limit_mm=2.0)
    at_least = given["readings"].clock > 4.0

    found = plan(given | {"at_least": at_least})

    before = plan(arguments(worn, known=True, limit_mm=2.0)) - 4.0
    assert np.all(found <= np.maximum(before, 0.0) + 0.3)
    # as readings they would give another half a year and more
    assert np.all(plan(given) > found + 0.5)


def planned(given: dict, class_values=BEGINNING) -> np.ndarray:
    """Return the planning years (P, S)."""
    case = planning.Planned(**given, probabilities=RULE)
    return planning.plan(case, hyper=class_values)


def plan(given: dict, *, whole: bool = False) -> np.ndarray:
    """Return the planning years (P,) of the first series, or of all (P, S)."""
    wanted = {k: v for k, v in given.items() if k != "horizon_years"}
    found = planned(wanted)
    return found if whole else found[:, 0]
