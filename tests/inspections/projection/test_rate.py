"""Quadrature for one series against a dense grid."""

import numpy as np
import pytest

from inspections.projection import rate


def on_grid(mean, variance, slope, slope_variance):
    beta = mean + np.sqrt(variance) * np.linspace(-9, 9, 40_001)
    log_density = -0.5 * (beta - mean) ** 2 / variance
    log_density -= 0.5 * (np.exp(beta) - slope) ** 2 / slope_variance
    share = np.exp(log_density - log_density.max())
    share /= share.sum()
    middle = share @ beta
    return middle, share @ (beta - middle) ** 2


@pytest.mark.parametrize(
    ("slope", "deviation"),
    [
        (0.05, 0.01),
        (0.2, 0.01),
        (0.6, 0.01),
        (-0.2, 0.1),
        (0.0, 0.1),
        (0.2, 0.1),
        (0.6, 0.1),
        (-0.2, 0.5),
        (0.2, 0.5),
    ],
)
def test_moments_agree_with_a_dense_grid(slope, deviation):
    mean, variance = np.log(0.2), 0.3

    found = rate.log_rate_moments(
        prior_mean=np.array([mean]),
        prior_variance=np.array([variance]),
        slope=np.array([slope]),
        slope_variance=np.array([deviation**2]),
    )

    expected, spread = on_grid(mean, variance, slope, deviation**2)
    assert found[0][0] == pytest.approx(expected, abs=0.06 * np.sqrt(spread) + 1e-3)
    assert np.sqrt(found[1][0]) == pytest.approx(np.sqrt(spread), rel=0.08)


def test_slope_that_says_nothing_leaves_the_prior():
    mean, variance, _ = rate.log_rate_moments(
        prior_mean=np.array([-1.0]),
        prior_variance=np.array([0.4]),
        slope=np.array([0.0]),
        slope_variance=np.array([1e9]),
    )

    assert mean == pytest.approx([-1.0], abs=1e-3)
    assert variance == pytest.approx([0.4], rel=1e-3)


def test_message_turns_the_prior_into_the_posterior():
    precision, information = rate.message(
        mean=np.array([0.5]),
        variance=np.array([0.1]),
        prior_mean=np.array([0.0]),
        prior_variance=np.array([0.4]),
        members=np.array([1.0]),
    )

    total = precision + 1 / 0.4
    assert 1 / total == pytest.approx([0.1])
    assert information / total == pytest.approx([0.5])
