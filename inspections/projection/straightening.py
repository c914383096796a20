"""Wear whose rate changes with its depth, made straight.

A class wears at a rate proportional to r(z) = exp(θ·z), z = level / limit. The
straightened level

    y = L · (1 - exp(-θ·z)) / (1 - exp(-θ))

rises evenly in time, leaves the limit L where it is, and equals the level for θ = 0.
θ is ``curvature``: the log of the rate at the limit over the rate at zero wear.
"""

import numpy as np

from inspections.projection.arrays import Floats

SMALLEST_CURVATURE = 2e-3
"""Nearer zero the formula is 0/0; there y differs from the level by 0.025 % of L."""


def regular(curvature: Floats) -> Floats:
    """Return the curvature kept away from zero, where the formula is 0/0."""
    near = np.abs(curvature) < SMALLEST_CURVATURE
    return np.where(near, SMALLEST_CURVATURE, curvature)


def straighten(*, level: Floats, limit: Floats, curvature: Floats) -> Floats:
    """Return the straightened level y [mm], shape of ``level``; NaN stays NaN.

    level : wear, may be a little negative or over the limit [mm]
    limit : L, > 0 [mm]
    curvature : θ [-], broadcast against ``level``

    >>> straighten(level=np.array([0.0, 1.0, 2.0]), limit=2.0, curvature=1.0)
    array([0.   , 1.245, 2.   ])
    """
    theta = regular(np.asarray(curvature))
    straight: Floats = limit * np.expm1(-theta * level / limit) / np.expm1(-theta)
    return straight


def steepness(*, level: Floats, limit: Floats, curvature: Floats) -> Floats:
    """Return dy/dx = θ·exp(-θ·z)/(1 - exp(-θ)) [-]: what noise is multiplied by.

    >>> steepness(level=np.array([0.0, 2.0]), limit=2.0, curvature=1.0)
    array([1.582, 0.582])
    """
    theta = regular(np.asarray(curvature))
    slope: Floats = -theta * np.exp(-theta * level / limit) / np.expm1(-theta)
    return slope


def level_of(*, straight: Floats, limit: Floats, curvature: Floats) -> Floats:
    """Return the level [mm] whose straightened value is ``straight`` (the inverse).

    >>> level_of(straight=np.array([1.245]), limit=2.0, curvature=1.0)
    array([1.])
    """
    theta = regular(np.asarray(curvature))
    inner = 1.0 + straight / limit * np.expm1(-theta)
    level: Floats = -limit * np.log(np.maximum(inner, 1e-9)) / theta
    return level
