"""What a careful engineer with a spreadsheet would say: least squares, one by one."""

import numpy as np
from scipy import stats

from inspections.projection.arrays import segment_sum

LONGEST = 60.0
_BEFORE = 3.0


def least_squares_quantiles(
    *,
    years: np.ndarray,
    level: np.ndarray,
    bounds: np.ndarray,
    limit: np.ndarray,
    probabilities: np.ndarray,
) -> np.ndarray:
    """Return quantiles (P, S) of the time from the last reading to the limit.

    The straight line's exact interval: (b·T - D)/sqrt(s²(1/n + T²/S)) is Student-t
    with n - 2 degrees of freedom; inverted for T (Fieller 1954). At most 60 years, at
    least -3. Every series has three points or more.
    """
    starts, counts = bounds[:-1], np.diff(bounds)
    mean_t = segment_sum(years, starts) / counts
    mean_x = segment_sum(level, starts) / counts
    t = years - np.repeat(mean_t, counts)
    x = level - np.repeat(mean_x, counts)
    spread = segment_sum(t * t, starts)
    slope = segment_sum(t * x, starts) / spread
    rest = x - np.repeat(slope, counts) * t
    variance = np.maximum(segment_sum(rest * rest, starts) / (counts - 2), 1e-8)
    lag = years[bounds[1:] - 1] - mean_t
    margin = limit - mean_x
    result = np.empty((len(probabilities), counts.size))
    for row, probability in enumerate(probabilities):
        z = stats.t.ppf(probability, counts - 2)
        a = slope**2 - z**2 * variance / spread
        c = margin**2 - z**2 * variance / counts
        discriminant = slope**2 * margin**2 - a * c
        found = np.full(counts.size, LONGEST)
        least = lag - _BEFORE
        with np.errstate(invalid="ignore", divide="ignore"):
            root = np.sqrt(discriminant)
            for sign in (1.0, -1.0):
                time = (slope * margin + sign * root) / a
                right = (slope * time - margin) * z >= -1e-9
                good = np.isfinite(time) & right & (time >= least)
                found = np.where(good, np.minimum(found, time - lag), found)
            scale = np.sqrt(variance * (1 / counts + least**2 / spread))
            already = (slope * least - margin) / scale >= z
        result[row] = np.where(already, -_BEFORE, np.minimum(found, LONGEST))
    return result
