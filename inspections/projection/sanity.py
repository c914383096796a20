"""Numbers that cannot be are no answer, whatever made them."""

from typing import Protocol

import numpy as np

from inspections.projection.arrays import Flags, Floats
from inspections.projection.limits import Limits
from inspections.projection.series import Readings

_DEVIATIONS = 6.0


class Levels(Protocol):
    """level_mm, level_sd_mm : (S,) at the last reading; sd +inf where unknown"""

    @property
    def level_mm(self) -> Floats: ...

    @property
    def level_sd_mm(self) -> Floats: ...


def beyond(*, result: Levels, readings: Readings, limits: Limits) -> Flags:
    """Return which levels (S,) cannot be.

    A quantity spans its way from new to the limit, and 6 standard deviations of its
    poorest reading. A standard deviation larger than that is none, and a level farther
    than that from all readings was measured by nobody. Our rule, no source.
    """
    level, sd = result.level_mm, result.level_sd_mm
    with np.errstate(invalid="ignore"):
        odd = np.isfinite(sd) & ((sd > limits.limit_mm) | (level < -limits.limit_mm))
        odd |= np.isfinite(sd) & (level > limits.limit_mm)
    found: Flags = np.zeros(level.size, dtype=np.bool_)
    rows = np.flatnonzero(odd & (readings.counts > 0))
    if rows.size == 0:
        return found
    own = readings.select(chosen=rows)
    starts = own.bounds[:-1]
    noise = np.maximum.reduceat(own.noise_mm, starts)
    span = limits.limit_mm[rows] + _DEVIATIONS * noise
    lowest = np.minimum.reduceat(own.level_mm, starts) - span
    highest = np.maximum.reduceat(own.level_mm, starts) + span
    # past its limit a bent course is cut short: too low there is no sign of nonsense
    short = (level[rows] < lowest) & (level[rows] < limits.limit_mm[rows])
    found[rows] = (sd[rows] > span) | (level[rows] > highest) | short
    return found
