"""Learning finds what a fleet was made with; three more by `.ci/long learning`."""

import numpy as np
import pytest

from inspections.projection.learning.learn import learn
from tests.benchmarks import calibration, fleets, last_visits
from tests.benchmarks.fleets import CLASSES


def learnt(law, *, seed=402, groups=600):
    fleet = fleets.make_fleet(seed=seed, groups=groups, law=law)
    given = calibration.arranged(fleet, clock=fleet.years)
    return learn(**given, hyper=calibration.beginnings())


@pytest.fixture(scope="module")
def even():
    return learnt("linear")


def test_rates_and_spreads_of_an_even_fleet_are_found(even):
    rates = np.array([c.median_mm_per_year for c in CLASSES])
    spreads = np.array([c.machine_sd for c in CLASSES])

    assert np.exp(even.log_rate) == pytest.approx(rates, rel=0.25)
    assert even.machine_sd == pytest.approx(spreads, rel=0.3)


def test_gauges_half_as_bad_as_promised_are_noticed(even):
    assert even.noise_scale == pytest.approx(np.full(4, 1 / 1.5), rel=0.12)


def test_even_wear_is_left_straight_and_without_drift(even):
    assert np.abs(even.curvature).max() < 0.15
    assert even.drift.max() < 0.09
    assert even.burst.max() < 0.15


@pytest.mark.long
def test_wear_that_speeds_up_is_found():
    assert (learnt("accel").curvature > 0.5).all()


def test_wear_in_bursts_is_found():
    assert learnt("gamma").burst == pytest.approx(np.full(4, 0.5), abs=0.12)


@pytest.mark.long
def test_bedding_in_is_found():
    loss = np.array([0.12 * c.limit_mm * np.exp(0.045) for c in CLASSES])

    assert learnt("runin").bedding_mm == pytest.approx(loss, rel=0.25)


def test_wear_that_slows_down_as_a_power_of_time_is_learnt_to_the_end():
    # Its curvature lies further off than one round moves it: shares of machines that
    # bend were once taken for what it lacked, and the rounds ended in no numbers.
    rng = np.random.default_rng([79, 1])
    fleet = last_visits.made(rng, ["t^0.7"] * 150, to_last_visit=False)

    found = learn(**fleet.arguments, hyper=last_visits.assumed())

    # d log(rate) / dz of z^(1 - 1/.7) from half way to the limit is about -.6 to -1
    assert -1.0 < found.curvature[0] < -0.6
    assert found.curvature_weights[0].tolist() == [0.0, 1.0, 0.0, 0.0]
    assert found.noise_scale[0] == pytest.approx(1.0, abs=0.05)
    assert 0.0 < found.bedding_mm[0] < 0.3


def test_fleet_without_series_teaches_nothing(even):
    fleet = fleets.make_fleet(seed=402, groups=10, law="linear")
    given = calibration.arranged(fleet, clock=fleet.years)
    given["limits"].limit_mm[:] = np.nan

    assert learn(**given, hyper=even) is even


# Made with .17 per root year, .15 of it common to a machine, and without bursts. Series
# by series this fleet shows .08 to .12, and the rest passes for bursts.
@pytest.mark.long
def test_drift_is_told_from_bursts():
    found = learnt("drift", seed=114, groups=1200)

    assert found.drift == pytest.approx(np.full(4, 0.15), abs=0.04)
    assert found.burst.max() < 0.25


def test_a_confirmed_reading_keeps_its_full_weight_in_learning():
    """Every machine steps up at its last visit: strays, unless somebody says not."""
    fleet = fleets.make_fleet(seed=402, groups=200, law="linear")
    given = calibration.arranged(fleet, clock=fleet.years)
    given.pop("horizon_years", None)
    last = given["readings"].bounds[1:][given["readings"].counts > 3] - 1
    given["readings"].level_mm[last] += 1.2
    sure = np.zeros(given["readings"].clock.size, dtype=bool)
    sure[last] = True

    begun = calibration.beginnings()
    doubted, nobody, confirmed = (
        learn(**given, hyper=begun, confirmed=mask)
        for mask in (None, ~sure & False, sure)
    )

    assert nobody.log_rate.tolist() == doubted.log_rate.tolist()
    assert (confirmed.log_rate > doubted.log_rate).all()
