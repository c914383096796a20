"""Machines whose wear runs ahead of their own earlier readings are planned earlier."""

from dataclasses import replace

import numpy as np
import pytest

from inspections.projection import guarding, planning, speeding
from tests.benchmarks import last_visits
from tests.inspections.projection.test_planning import (
    BEGINNING,
    CLASSES,
    GROOVES,
    RULE,
    deepened,
    random_fleet,
)

A_DAY = 1 / 365.25
EVEN = [(float(year), 0.2 * year) for year in range(9)]


def case_of(given: dict) -> planning.Planned:
    wanted = {k: v for k, v in given.items() if k != "horizon_years"}
    return planning.Planned(**wanted, probabilities=RULE)


def guarded(given: dict, class_values=BEGINNING) -> tuple[np.ndarray, guarding.Guarded]:
    """Return the curve (P, S), and the same guarded."""
    case = case_of(given)
    curve = planning.plan(case, hyper=class_values)
    return curve, guarding.guard(case, planned=curve, hyper=class_values)


def ahead(given: dict) -> speeding.Speeding:
    wanted = {k: v for k, v in given.items() if k != "horizon_years"}
    return speeding.speeding(**wanted, hyper=BEGINNING)


@pytest.mark.parametrize("name", CLASSES)
def test_deeper_last_reading_never_moves_the_guarded_date_later(name):
    rng = np.random.default_rng(31)
    machines = 500
    given = random_fleet(rng, machines=machines)
    which = rng.integers(0, GROOVES, machines) + GROOVES * np.arange(machines)
    by = np.abs(rng.normal(0.0, rng.choice([0.05, 0.3, 2.0], machines)))

    curve, before = guarded(given, CLASSES[name])
    _, after = guarded(deepened(given, which, by), CLASSES[name])

    assert (after.years - before.years)[:, which].max() <= A_DAY
    assert np.all(before.years <= curve)
    # the guard is there: it moves dates by more than a month, and not those of most
    doubted = guarding._doubted(case_of(given), curve, CLASSES[name])
    doubted = guarding._read_once(case_of(given), doubted, CLASSES[name])
    moved = (doubted - before.years)[0] > 1 / 12
    assert 0.02 < np.mean(moved) < 0.4
    assert np.all(before.earlier[moved])


def test_even_wear_is_planned_by_the_curve_to_the_day(arguments):
    curve, found = guarded(arguments(EVEN, EVEN, known=True, limit_mm=2.0))

    assert found.years.tolist() == curve.tolist()
    assert not found.earlier.any()


def test_wear_that_has_trebled_at_the_last_visits_is_planned_earlier(arguments):
    faster = [*EVEN, (9.0, 2.2), (10.0, 2.8)]
    given = arguments(faster, faster, known=True, limit_mm=4.0)

    curve, found = guarded(given)

    assert found.earlier.all()
    # 0.2 became 0.6 mm a year with 1.2 mm left
    assert np.all(found.years[0] <= 1.2 / 0.6)
    assert np.all(curve[0] > 1.2 / 0.6)


def test_how_far_wear_runs_ahead_never_falls_when_a_last_reading_is_deeper(arguments):
    last = np.linspace(-2.0, 9.0, 45)
    found = [
        ahead(arguments([*EVEN, (9.0, level)], EVEN, known=True, limit_mm=9.5))
        for level in last
    ]

    share = np.array([each.share[0] for each in found])
    pace = np.array([each.pace[0] for each in found])
    assert np.all(np.diff(share) >= 0.0)
    assert np.all(np.diff(pace) >= 0.0)
    assert (share[0], pace[0]) == (0.0, 1.0)
    assert share[-1] == 1.0
    assert pace[-1] > 2.0


def test_sisters_that_run_ahead_together_say_more_than_one_alone(arguments):
    faster = [*EVEN, (9.0, 2.0), (10.0, 2.3)]
    even = [*EVEN, (9.0, 1.8), (10.0, 2.0)]

    together = ahead(arguments(*[faster] * 4, known=True, limit_mm=4.0))
    alone = ahead(arguments(faster, even, even, even, known=True, limit_mm=4.0))

    assert together.share[0] > alone.share[0] + 0.3


def test_deepest_groove_alone_says_that_it_runs_ahead(arguments):
    """What changes at a depth changes in the deepest first."""
    slow = [(year, level / 2) for year, level in EVEN]
    deep = [*EVEN, (9.0, 2.1), (10.0, 2.7)]
    beside = [*slow, (9.0, 0.9), (10.0, 1.0)]

    deepest = ahead(arguments(deep, beside, beside, beside, known=True, limit_mm=4.0))
    shallow = [*slow, (9.0, 1.2), (10.0, 1.7)]
    even = [*EVEN, (9.0, 1.8), (10.0, 2.0)]
    other = ahead(arguments(shallow, even, even, even, known=True, limit_mm=4.0))

    assert deepest.share[0] == 1.0
    assert deepest.pace[0] > 2.0
    assert other.share[0] < 0.5


def test_parts_that_were_read_once_are_planned_at_less_of_the_chance(arguments):
    once = [(0.0, 0.0), (1.0, 0.2)]
    given = arguments(once, once, known=True, limit_mm=2.0)
    case = case_of(given)

    curve, found = guarded(given)

    less = tuple(guarding.READ_ONCE * each for each in RULE)
    wanted = planning.plan(replace(case, probabilities=less), hyper=BEGINNING)
    assert found.years == pytest.approx(np.minimum(curve, wanted))
    assert np.all(found.years < curve)
    assert not found.earlier.any()


def test_part_by_itself_and_parts_read_twice_keep_the_chance(arguments):
    once, twice = [(0.0, 0.0), (1.0, 0.2)], [(0.0, 0.0), (1.0, 0.2), (2.0, 0.4)]

    alone = guarded(arguments(once, known=True, limit_mm=2.0))
    beside = guarded(arguments(once, twice, known=True, limit_mm=2.0))

    assert alone[1].years.tolist() == alone[0].tolist()
    assert beside[1].years.tolist() == beside[0].tolist()


def test_series_with_one_reading_before_says_nothing(arguments):
    found = ahead(arguments([(1.0, 0.2), (2.0, 1.9)], limit_mm=3.0))

    assert found.share.tolist() == [0.0]
    assert found.pace.tolist() == [1.0]


def test_confirmed_readings_and_unwanted_series_change_nothing_else(arguments):
    faster = [*EVEN, (9.0, 2.2), (10.0, 2.8)]
    given = arguments(faster, faster, known=True, limit_mm=4.0)
    wanted = {k: v for k, v in given.items() if k != "horizon_years"}
    case = planning.Planned(
        **wanted, probabilities=RULE, wanted=np.array([True, False])
    )
    curve = planning.plan(case, hyper=BEGINNING)

    found = guarding.guard(case, planned=curve, hyper=BEGINNING)

    whole = guarded(given)[1]
    assert found.years[:, 0] == pytest.approx(whole.years[:, 0])
    assert np.isposinf(found.years[:, 1]).all()
    assert found.earlier.tolist() == [True, False]


@pytest.mark.parametrize("kind", ["theta 1.5", "t^1.8"])
def test_machines_that_speed_up_are_stopped_in_time_at_their_last_visit(kind):
    """Four grooves read to the last visit before the limit, nothing learnt."""
    lives = last_visits.made(np.random.default_rng(32), [kind] * 40, to_last_visit=True)
    truth = last_visits.earliest(lives.remaining_years)

    curve, plan, _ = last_visits.planned(lives, last_visits.assumed())

    # 1 in 20 was bought; by the curve half of those that bend are too late
    assert np.mean(truth < plan) <= 0.1
    assert np.mean(truth < curve) > np.mean(truth < plan)


def test_rate_that_trebles_at_a_depth_is_found_by_the_deepest_groove():
    """Its sisters have not come to that depth yet; 20 of a hundred late were bought."""
    kinds = ["x3 at a depth"] * 120
    lives = last_visits.made(np.random.default_rng(33), kinds, to_last_visit=True)
    truth = last_visits.earliest(lives.remaining_years)

    curve, plan, _ = last_visits.planned(lives, last_visits.assumed())

    assert np.mean(truth < plan) <= 0.2
    assert np.mean(truth < curve) > 0.5


def test_bent_class_is_steeper_and_wanders():
    found = speeding.bent(replace(BEGINNING, curvature=np.array([0.5])))

    assert found.curvature.tolist() == [0.5 + np.log(4.0)]
    assert found.drift.tolist() == [0.3]


def layered(given: dict, layer_mm: float) -> tuple[np.ndarray, guarding.Guarded]:
    """Return the curve (P, S), and the guarded dates of seats with a hardened layer."""
    wanted = {k: v for k, v in given.items() if k != "horizon_years"}
    count = given["limits"].limit_mm.size
    case = planning.Planned(
        **wanted, probabilities=RULE, layer_mm=np.full(count, layer_mm)
    )
    curve = planning.plan(case, hyper=BEGINNING)
    return curve, guarding.guard(case, planned=curve, hyper=BEGINNING)


def test_limit_below_a_hardened_layer_is_planned_on_as_softer_metal(arguments):
    given = arguments(EVEN, EVEN, known=True, limit_mm=3.0)

    curve, found = layered(given, 2.0)

    as_if = guarded(arguments(EVEN, EVEN, known=True, limit_mm=2.0 + 1.0 / 3.0))[0]
    assert found.years == pytest.approx(as_if, rel=1e-4)
    assert np.all(found.years < curve)
    assert found.softer.tolist() == [True, True]
    assert not found.earlier.any()


@pytest.mark.parametrize("layer_mm", [3.0, 5.0, 0.0, np.nan])
def test_layer_that_outlasts_the_limit_or_is_not_there_changes_nothing(
    arguments, layer_mm
):
    curve, found = layered(arguments(EVEN, known=True, limit_mm=3.0), layer_mm)

    assert found.years.tolist() == curve.tolist()
    assert found.softer.tolist() == [False]


def test_deeper_last_reading_never_moves_the_date_below_a_layer_later():
    rng = np.random.default_rng(33)
    given = random_fleet(rng, machines=300)
    which = rng.integers(0, GROOVES, 300) + GROOVES * np.arange(300)
    by = np.abs(rng.normal(0.0, rng.choice([0.05, 0.3, 2.0], 300)))

    curve, before = layered(given, 0.7)
    _, after = layered(deepened(given, which, by), 0.7)

    assert (after.years - before.years)[:, which].max() <= A_DAY
    assert np.all(before.years <= curve)
    assert np.mean(before.softer) > 0.6


def test_rate_that_trebles_below_a_known_layer_is_seldom_too_late():
    lives = last_visits.made(
        np.random.default_rng(34), ["x3 at a depth"] * 60, to_last_visit=True
    )
    truth = last_visits.earliest(lives.remaining_years)

    _, plan, known = last_visits.planned(lives, last_visits.assumed())

    assert np.mean(truth < known) <= 0.1
    assert np.mean(truth < plan) > np.mean(truth < known)


def first_gap_mm(arguments, *, limit_mm: float) -> float:
    """Return by how much the last readings must lie deeper before a date moves."""
    for gap in np.linspace(0.0, 0.6, 61):
        faster = [*EVEN, (9.0, 1.8 + gap)]
        given = arguments(faster, faster, known=True, limit_mm=limit_mm)
        if ahead(given).share.min() > 0.0:
            return float(gap)
    raise AssertionError("no gap moves a date")


def test_near_the_limit_less_is_enough_to_run_ahead(arguments):
    near = first_gap_mm(arguments, limit_mm=2.0)
    far = first_gap_mm(arguments, limit_mm=4.0)

    between = speeding.BEGINS_NEAR / speeding.BEGINS
    assert near / far == pytest.approx(between, abs=0.1)


def test_deepest_reading_tells_how_near_the_limit_is(arguments):
    deep = [*EVEN, (8.5, 3.8), (9.0, 1.8)]
    given = arguments(deep, EVEN, known=True, limit_mm=4.0)
    wanted = {k: given[k] for k in ("readings", "hierarchy", "limits")}

    assert speeding._near(**wanted).tolist() == [1.0]
    wanted["limits"].limit_mm[:] = np.nan
    assert speeding._near(**wanted).tolist() == [0.0]


@pytest.mark.parametrize("curvature", [-1.0, 0.0, 1.0])
def test_class_that_slows_down_is_planned_on_slowing_less(arguments, curvature):
    slowing = [(float(year), float(np.sqrt(0.4 * year))) for year in range(9)]
    given = arguments(slowing, slowing, known=True, limit_mm=3.0)
    bent = replace(BEGINNING, curvature=np.full(BEGINNING.classes, curvature))

    curve, found = guarded(given, bent)

    moved = (curve - found.years)[0]
    assert np.all(moved > 0.02 * curve[0]) if curvature < 0.0 else not moved.any()
    assert not found.earlier.any()


@pytest.mark.parametrize(
    ("burst", "drift", "planned_on"),
    [(0.0, 0.0, 0.0), (0.1, 0.0, 0.06), (0.3, 0.02, 0.12), (0.3, 0.2, 0.2)],
)
def test_drift_is_believed_behind_bursts(burst, drift, planned_on):
    count = BEGINNING.classes
    learnt = replace(
        BEGINNING, burst=np.full(count, burst), drift=np.full(count, drift)
    )

    found = guarding.doubted(learnt)

    assert found.drift == pytest.approx(np.full(count, planned_on))
    assert found.burst.tolist() == learnt.burst.tolist()


def test_class_that_wears_in_bursts_is_planned_on_as_if_it_drifted(arguments):
    given = arguments(EVEN, EVEN, known=True, limit_mm=4.0)
    bursts = replace(
        BEGINNING,
        burst=np.full(BEGINNING.classes, 0.3),
        drift=np.zeros(BEGINNING.classes),
    )

    curve, found = guarded(given, bursts)

    assert np.all(found.years[0] < 0.98 * curve[0])
    assert not found.earlier.any()


@pytest.mark.parametrize(("burst", "share"), [(0.1, 0.0), (0.15, 0.5), (0.5, 1.0)])
def test_part_of_a_class_with_bursts_has_its_share_of_the_chance(
    arguments, burst, share
):
    given = arguments(EVEN, EVEN, known=True, limit_mm=4.0)
    # it drifts more than is planned on behind bursts
    bursts = replace(BEGINNING, burst=np.array([burst]), drift=np.array([0.2]))
    case = case_of(given)
    less = tuple(guarding.OF_THE_CHANCE * each for each in RULE)
    own = planning.plan(replace(case, probabilities=less), hyper=bursts)

    curve, found = guarded(given, bursts)

    assert found.years == pytest.approx((1 - share) * curve + share * own)
    assert np.all(own < 0.97 * curve)
