import numpy as np
import pytest

from inspections.projection import layout, moments


def sums(t, y, w):
    age = (t[-1] - t).astype(np.float32)
    return moments.moments(
        age=age,
        wear=(y - y[-1]).astype(np.float32),
        weight=w.astype(np.float32),
        layout=layout.Runs(starts=np.array([0]), counts=np.array([t.size])),
        bends=True,
    )


def test_slope_and_centroid_are_those_of_weighted_least_squares():
    rng = np.random.default_rng(3)
    t, w = np.sort(rng.uniform(0, 8, 12)), rng.uniform(20, 200, 12)
    y = 0.3 * t + 0.1 * rng.standard_normal(12)

    found = sums(t, y, w)

    slope, _ = np.polyfit(t, y, 1, w=np.sqrt(w))
    assert found.slope == pytest.approx([slope], rel=1e-4)
    assert found.centre_clock + t[-1] == pytest.approx([np.average(t, weights=w)])
    assert found.precision == pytest.approx([w.sum()], rel=1e-5)


def test_bend_is_that_of_a_weighted_parabola():
    rng = np.random.default_rng(4)
    t, w = np.sort(rng.uniform(0, 8, 15)), rng.uniform(20, 200, 15)
    y = 0.1 * t + 0.05 * t**2

    found = sums(t, y, w)

    assert found.bend_cross / found.bend_spread == pytest.approx([0.05], rel=1e-2)


def test_one_reading_says_nothing_about_the_rate():
    found = sums(np.array([2.0]), np.array([1.0]), np.array([100.0]))

    assert found.spread.tolist() == [0.0]
    assert np.isfinite(found.slope_variance).all()
    assert found.slope_variance[0] > 1e8
