from dataclasses import replace
from datetime import date, timedelta
from math import exp, sqrt

import numpy as np
import pytest

from inspections.decisions import thresholds
from inspections.decisions.future import coming, lives
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.renewed import has_life
from inspections.decisions.future.wearing import EndsTogether
from tests.inspections.decisions.machines import ahead

AS_OF = date(2026, 1, 1)
LAST = date(2025, 7, 1)


def deviates(*, draws=20000, seed=1, **changes):
    return Deviates(
        seed=seed, draws=draws, thresholds=thresholds.changed(changes=changes)
    )


def ends(*limits, machine_key=1, of=None):
    return lives.first_ends(
        limits=limits,
        machine_key=machine_key,
        deviates=of or deviates(),
        as_of=AS_OF,
        unevenness=0.15,
    ).met


def days_on(*years):
    return [AS_OF + timedelta(days=round(365.25 * each)) for each in years]


def shown(**rest):
    p02, p10, p50, p90 = days_on(1.0, 1.8, 4.0, 9.0)
    given = {
        "plan": p02,
        "p10_on": p10,
        "p50": p50,
        "p90": p90,
        "last_on": LAST,
    }
    return ahead(**(given | rest))


def test_draws_have_the_quantiles_that_the_forecast_shows():
    found = ends(shown())

    assert np.quantile(found, [0.02, 0.1, 0.5, 0.9]) == pytest.approx(
        [1.0, 1.8, 4.0, 9.0], rel=0.04
    )


def test_a_question_takes_no_date_away():
    """Only the day to plan on is given while something is asked."""
    [day] = days_on(1.5)
    asked = replace(
        shown(level=None, rate_per_year=None),
        p02_on=None,
        p10_on=None,
        p50_on=None,
        p90_on=None,
    )

    found = ends(replace(asked, plan_before_on=day))

    assert found == pytest.approx(np.full(found.shape, 1.5), abs=0.01)
    assert (ends(replace(asked, plan_before_on=None)) == lives.NEVER).all()


def test_a_limit_that_may_be_met_already_is_met_on_the_first_day_in_those_draws():
    p02, p10, p50, p90 = days_on(-0.4, 0.0, 1.0, 2.0)

    found = ends(shown(plan=p02, p10_on=p10, p50=p50, p90=p90))

    assert (found == 0.0).mean() == pytest.approx(0.1, abs=0.01)
    assert np.median(found) == pytest.approx(1.0, rel=0.05)


def test_a_limit_before_the_last_reading_is_drawn_without_logarithms():
    p02, p10, p50, p90 = days_on(-2.0, -1.0, 0.5, 2.0)

    found = ends(shown(plan=p02, p10_on=p10, p50=p50, p90=p90))

    assert np.quantile(found, 0.9) == pytest.approx(2.0, rel=0.05)
    assert found.min() == 0.0


def test_the_first_place_of_a_group_ends_it():
    one, other = shown(place="groove 1"), shown(place="groove 2")

    assert np.median(ends(one, other)) < np.median(ends(one))


def test_where_only_early_dates_are_shown_level_and_rate_give_the_middle():
    early = replace(shown(level=0.5, limit=2.0, rate_per_year=0.3), p50_on=None)
    early = replace(early, p90_on=None)

    found = ends(early)

    lag = (AS_OF - LAST).days / 365.25
    assert np.median(found) == pytest.approx(1.5 / 0.3 - lag, rel=0.03)


@pytest.mark.parametrize(
    "lacking",
    [
        {"p10_on": None, "plan_before_on": None},
        {"last_on": None},
        {"p50_on": None, "rate_per_year": None},
        {"p50_on": None, "rate_per_year": 0.0},
        {"p50_on": None, "limit": None},
        # A middle before the early date would turn the draws round.
        {"p50_on": None, "level": 1.9},
    ],
)
def test_without_enough_there_is_no_date_and_nothing_is_drawn(lacking):
    limit = replace(shown(), p90_on=None, **lacking)

    assert not lives.has_date(limit)
    assert (ends(limit) == lives.NEVER).all()


def test_a_limit_beyond_what_is_seen_never_comes():
    limit = replace(shown(), beyond=True)

    assert lives.has_date(limit)
    assert (ends(limit) == lives.NEVER).all()


def later_ends(*, limits, machine_key, segment, deviates, unevenness):
    places = coming.places_to_come(
        limits=limits, deviates=deviates, unevenness=unevenness
    )
    return coming.later_ends(
        places=places, machine_key=machine_key, segment=segment, deviates=deviates
    )


def test_a_part_yet_to_come_runs_limit_over_rate_with_the_spread():
    found = later_ends(
        limits=(shown(limit=2.0, rate_per_year=0.25),),
        machine_key=1,
        segment=1,
        deviates=deviates(),
        unevenness=0.15,
    ).met

    assert np.median(found) == pytest.approx(8.0, rel=0.02)
    assert np.quantile(found, 0.9) == pytest.approx(8.0 * exp(0.35 * 1.28155), rel=0.03)


@pytest.mark.parametrize(
    "lacking",
    [{"rate_per_year": None}, {"rate_per_year": -0.1}, {"limit": None}, {"limit": 0.0}],
)
def test_a_part_whose_rate_nobody_knows_is_not_followed(lacking):
    limit = replace(shown(), **lacking)

    found = later_ends(
        limits=(limit,),
        machine_key=1,
        segment=1,
        deviates=deviates(),
        unevenness=0.15,
    ).met

    assert not has_life(limit)
    assert (found == lives.NEVER).all()


def test_a_part_yet_to_come_runs_a_least_time():
    found = later_ends(
        limits=(shown(limit=0.01, rate_per_year=10.0),),
        machine_key=1,
        segment=1,
        deviates=deviates(),
        unevenness=0.15,
    ).met

    assert found.max() == coming.SHORTEST


def of_places(source, *, machine_key=1, segment=0, classes=("V", "V")):
    return source.of_places(
        machine_key=machine_key,
        group=EndsTogether.SEATS,
        segment=segment,
        classes=classes,
    )


def test_places_of_a_machine_and_machines_of_a_class_are_correlated_as_set():
    source = deviates(draws=60000)

    first, second = of_places(source)
    rope = source.of_places(
        machine_key=1, group=EndsTogether.ROPES, segment=0, classes=["rope"]
    )[0]
    elsewhere = of_places(source, machine_key=2)[0]
    other_class = of_places(source, machine_key=3, classes=("U",))[0]

    assert np.corrcoef(first, second)[0, 1] == pytest.approx(0.6, abs=0.01)
    assert np.corrcoef(first, elsewhere)[0, 1] == pytest.approx(0.1, abs=0.015)
    assert np.corrcoef(first, other_class)[0, 1] == pytest.approx(0.0, abs=0.015)
    # Ropes and grooves of a machine share its use.
    assert np.corrcoef(first, rope)[0, 1] == pytest.approx(0.5, abs=0.015)
    assert first.std() == pytest.approx(1.0, abs=0.01)


def test_numbers_depend_on_what_they_are_for_and_on_nothing_else():
    one, other = deviates(draws=100), deviates(draws=100)
    of_places(other, machine_key=9)
    other.uniform(3)

    assert (of_places(one) == of_places(other)).all()
    assert not (of_places(one) == of_places(one, segment=1)).any()


def test_prices_are_uniform_and_differ_by_kind():
    source = deviates()

    assert source.uniform(1).mean() == pytest.approx(0.5, abs=5 / sqrt(12 * 20000))
    assert not (source.uniform(1) == source.uniform(2)).any()


def test_limits_are_grouped_in_an_order_of_their_own():
    two, one = shown(place="groove 2"), shown(place="groove 1")
    unknown = ahead("colour", "rim")

    found = lives.grouped((two, unknown, one))

    assert found[EndsTogether.SEATS] == (one, two)
    assert found[EndsTogether.ROPES] == ()
