"""Does the model fit a class at all? Learnt values at the ends of their grids say no.

Wear of another form (as a power of time, say) is taken for the nearest thing that the
model has: a rate that drifts as much as any, or a curvature as strong as any. The dates
are then as good as that, which nobody has tested.
"""

import numpy as np

from inspections.projection.arrays import Flags
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning import profile, wander

NEAR_END = 0.93
"""Learnt values are means over a grid: so near to its end all of it lies there."""
NOISE_RANGE = (0.4, 2.5)
"""Gauges scatter no less and no more than that over what they promise; our rule."""
FEWEST_MACHINES = 5
WIDENED = 1.25
"""Least factor on the planning deviates of such a class; our rule, no source."""


def not_fitted(hyper: ClassHyperparameters) -> Flags:
    """Return which classes (C,) the model does not fit, of those learnt from a fleet.

    >>> not_fitted(starting(rate_per_clock=np.array([0.1]))).tolist()
    [False]
    """
    low, high = NOISE_RANGE
    found: Flags = hyper.drift >= NEAR_END * wander.DRIFT[-1]
    found |= hyper.burst >= NEAR_END * wander.BURST[-1]
    found |= np.abs(hyper.curvature) >= NEAR_END * profile.CURVATURE_RANGE
    found |= (hyper.noise_scale <= low) | (hyper.noise_scale >= high)
    return found & (hyper.machines >= FEWEST_MACHINES)
