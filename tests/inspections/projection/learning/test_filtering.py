"""The filter's likelihood is that of the joint normal distribution of the readings."""

import numpy as np
import pytest
from scipy import stats

from inspections.projection.learning.filtering import Courses, HyperGrid, log_likelihood

RATE = 0.2
CLOCK = np.array([0.0, 0.7, 1.1, 2.6, 4.0, 4.3])
VARIANCE = np.array([0.01, 0.02, 0.01, 0.04, 0.01, 0.02])
LEVEL = np.array([0.05, 0.10, 0.31, 0.42, 1.05, 0.93])
COMBINATIONS = [(1.0, 0.0, 0.0), (0.8, 0.3, 0.0), (1.25, 0.0, 0.5), (1.0, 0.2, 0.3)]


def courses(*, count=CLOCK.size, told=True, burst_share=1.0):
    return Courses(
        age=(CLOCK[-1] - CLOCK).astype(np.float32),
        level=LEVEL.astype(np.float32),
        variance=VARIANCE.astype(np.float32),
        told=np.full(CLOCK.size, told),
        begin=np.array([0]),
        count=np.array([count]),
        rate=np.array([RATE]),
        burst_share=np.array([burst_share]),
    )


def over(combinations=COMBINATIONS):
    noise, drift, burst = np.array(combinations).T
    return HyperGrid(noise=noise, drift=drift, burst=burst)


def joint(noise, drift, burst, *, vague=1e4):
    """Return the log density of readings 3 .. n given the first two.

    A level nobody knows, a rate N(b, 4b²); between times s <= t an integrated random
    walk of the rate has covariance ψ²b²·s²(3t - s)/6, bursts have φ²b²·s.
    """
    s, t = np.minimum.outer(CLOCK, CLOCK), np.maximum.outer(CLOCK, CLOCK)
    covariance = (
        vague
        + 4 * RATE**2 * s * t
        + (drift * RATE) ** 2 * s**2 * (3 * t - s) / 6
        + (burst * RATE) ** 2 * s
        + np.diag(noise**2 * VARIANCE)
    )
    mean = RATE * CLOCK
    whole = stats.multivariate_normal(mean, covariance).logpdf(LEVEL)
    first = stats.multivariate_normal(mean[:2], covariance[:2, :2]).logpdf(LEVEL[:2])
    return whole - first + 0.5 * (CLOCK.size - 2) * np.log(2 * np.pi)


@pytest.mark.parametrize("combination", COMBINATIONS)
def test_likelihood_is_that_of_the_joint_distribution(combination):
    (found,) = log_likelihood(courses(), over([combination]))

    assert found == pytest.approx(joint(*combination), abs=0.02)


def test_bursts_of_a_mean_are_its_share_of_those_of_a_series():
    found = log_likelihood(courses(burst_share=0.25), over([(1.0, 0.1, 0.6)]))

    assert found[0, 0] == pytest.approx(joint(1.0, 0.1, 0.3), abs=0.02)


def test_two_readings_and_readings_not_told_say_nothing():
    assert not log_likelihood(courses(count=2), over()).any()
    assert not log_likelihood(courses(told=False), over()).any()


def test_course_beyond_single_precision_says_nothing():
    wild = courses()
    wild.level[3] = np.inf

    with np.errstate(invalid="ignore"):
        assert not log_likelihood(wild, over()).any()


def test_each_course_keeps_its_place_whatever_its_length():
    two = Courses(
        **{name: getattr(courses(), name) for name in ("age", "level", "variance")},
        told=np.ones(CLOCK.size, dtype=bool),
        begin=np.array([0, 0]),
        count=np.array([4, 6]),
        rate=np.full(2, RATE),
        burst_share=np.ones(2),
    )

    found = log_likelihood(two, over())

    assert found[:, 1] == pytest.approx(log_likelihood(courses(), over())[:, 0])
    alone = log_likelihood(two.select(np.array([0])), over())
    assert found[:, 0] == pytest.approx(alone[:, 0])
