"""The share of the noise that all readings of one visit have in common."""

import numpy as np

from inspections.projection import outliers
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.fitting import Fit

_PRIOR_PAIRS = 50.0
_PRIOR_SHARE = 0.2
MOST_SHARED = 0.9


def shared_noise(
    *, fitted: Fit, visit: Integers, installation: Flags, classes: int
) -> Floats:
    """Return the correlation of residuals within a visit per class (C,).

    ρ = Σ[(Σr)² - Σr²] / Σ[(n - 1)·Σr²] over visits, r standardised residuals; a class
    with few visits stays near 0.2.
    """
    judged = outliers.residuals(
        fitted.chunk, fitted=fitted.inferred, weight=fitted.evidence
    )
    counts = fitted.chunk.observed.layout.counts
    use = ~installation & ~fitted.flagged & np.repeat(counts >= 3, counts)
    r = judged.residual[use] * np.sqrt(judged.weight[use] / (1 - judged.leverage[use]))
    of = np.repeat(fitted.chunk.class_of_series, counts)[use]
    # visits are of one pool, so of one class; each class has its own number range
    _, group = np.unique(visit[use] * classes + of, return_inverse=True)
    number = int(group.max(initial=-1)) + 1
    of_visit = np.zeros(number, dtype=np.intp)
    of_visit[group] = of
    total = np.bincount(group, weights=r, minlength=number)
    square = np.bincount(group, weights=r * r, minlength=number)
    members = np.bincount(group, minlength=number)
    pairs = np.bincount(of_visit, weights=total**2 - square, minlength=classes)
    scale = np.bincount(of_visit, weights=(members - 1) * square, minlength=classes)
    share = (pairs + _PRIOR_PAIRS * _PRIOR_SHARE) / (scale + _PRIOR_PAIRS)
    return np.clip(share, 0.0, MOST_SHARED)
