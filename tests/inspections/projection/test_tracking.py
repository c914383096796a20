"""The tracked line is that of generalised least squares, wander included."""

import numpy as np
import pytest

from inspections.projection import layout, tracking

RNG = np.random.default_rng(4)


def line(times, levels, variances, *, q=0.0, r=0.0):
    """Track series given as lists of arrays, in runs."""
    counts = np.array([t.size for t in times])
    flat = [np.concatenate(rows) for rows in (times, levels, variances)]
    last = np.repeat([t[-1] for t in times], counts)
    return tracking.track(
        age=(last - flat[0]).astype(np.float32),
        wear=flat[1].astype(np.float32),
        variance=flat[2].astype(np.float32),
        layout=layout.Runs(starts=np.cumsum(counts) - counts, counts=counts),
        q=np.full(counts.size, q),
        r=np.full(counts.size, r),
    )


def exact(t, y, v, *, q, r):
    """Return level and rate at the last reading, and their covariance, by one solve.

    Looking back from the last reading a time a ago the level is x - b·a less what has
    been gathered since: covariance q·m²·(3·M - m)/6 + r·m, m and M the lesser and the
    greater age.
    """
    a = t[-1] - t
    lesser, greater = np.minimum.outer(a, a), np.maximum.outer(a, a)
    gathered = q * lesser**2 * (3 * greater - lesser) / 6 + r * lesser
    weight = np.linalg.inv(np.diag(v) + gathered)
    design = np.stack([np.ones_like(a), -a], axis=1)
    covariance = np.linalg.inv(design.T @ weight @ design)
    return covariance @ design.T @ weight @ y, covariance


def series(count):
    t = np.sort(RNG.uniform(0, 9, count))
    return (
        t,
        0.2 * t + 0.1 * RNG.standard_normal(count),
        RNG.uniform(0.005, 0.02, count),
    )


@pytest.mark.parametrize(
    ("q", "r"), [(0.0, 0.0), (0.002, 0.0), (0.0, 0.01), (1e-3,) * 2]
)
@pytest.mark.parametrize("count", [2, 3, 7, 30])
def test_line_is_that_of_generalised_least_squares(q, r, count):
    t, y, v = series(count)

    found = line([t], [y], [v], q=q, r=r)

    (level, rate), covariance = exact(t, y, v, q=q, r=r)
    assert found.slope[0] == pytest.approx(rate, rel=2e-3, abs=1e-3)
    assert found.slope_variance[0] == pytest.approx(covariance[1, 1], rel=1e-2)
    at_end = found.level[0] - found.slope[0] * found.centre_clock[0]
    assert at_end == pytest.approx(level, abs=2e-3)
    variance = found.level_variance[0] + found.centre_clock[0] ** 2 * covariance[1, 1]
    assert variance == pytest.approx(covariance[0, 0], rel=2e-2)


def test_one_reading_says_nothing_of_the_rate():
    found = line([np.array([3.0])], [np.array([0.7])], [np.array([0.01])], q=0.01)

    assert found.level[0] == pytest.approx(0.7)
    assert found.level_variance[0] == pytest.approx(0.01)
    assert found.slope_variance[0] >= 1e9
    assert found.centre_clock[0] == 0.0


def test_series_in_columns_are_as_in_runs():
    made = [series(count) for count in (2, 9, 1, 4)]
    times, levels, variances = map(list, zip(*made, strict=True))

    together = line(times, levels, variances, q=0.001, r=0.002)

    for number, (t, y, v) in enumerate(made):
        alone = line([t], [y], [v], q=0.001, r=0.002)
        assert together.slope[number] == alone.slope[0]
        assert together.level_variance[number] == alone.level_variance[0]
