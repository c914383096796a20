"""The normal distribution for arrays, without SciPy."""

from statistics import NormalDist

import numpy as np

from inspections.projection.arrays import Floats


def cumulative(z: Floats) -> Floats:
    """Return Φ(z), absolute error below 1e-7, in the precision of ``z``.

    Source: Abramowitz & Stegun (1964), 7.1.26.

    >>> cumulative(np.array([0.0, 1.2815516])).round(4)
    array([0.5, 0.9])
    """
    x = np.abs(z) * z.dtype.type(2**-0.5)
    t = 1 / (1 + z.dtype.type(0.3275911) * x)
    series = z.dtype.type(1.061405429) * t - z.dtype.type(1.453152027)
    for coefficient in (1.421413741, -0.284496736, 0.254829592):
        series = series * t + z.dtype.type(coefficient)
    tail = series * t * np.exp(-x * x)
    half: Floats = z.dtype.type(0.5) * (1 + np.sign(z) * (1 - tail))
    return half


def deviate(probability: float) -> float:
    """Return z with Φ(z) = probability.

    >>> deviate(0.1)
    -1.28155
    """
    return NormalDist().inv_cdf(probability)
