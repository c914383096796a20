"""Wear through a hardened layer: what lies below is softer and wears faster.

By Archard (Journal of Applied Physics 24, 1953, from memory) wear goes as one over the
hardness. Hardened grooves are at about 500 to 600 Vickers, the iron below them at 200
(common practice, no source): two and a half to three times. So a level below the layer
is counted as the layer and a third of what lies beyond it, and the limit likewise. What
was worn at the old rate then promises the new one, and readings from below the layer
teach the rate all the same. Both maps rise with the level: never a later date for a
deeper reading.
"""

import dataclasses

import numpy as np

from inspections.projection.arrays import Flags, Floats
from inspections.projection.limits import Limits
from inspections.projection.planning import Planned

SOFTER = 3.0
"""Rate below a hardened layer over that in it, the worse end of what is known."""


def beyond(level_mm: Floats, layer_mm: Floats) -> Floats:
    """Return levels counted at the rate of the layer; NaN for no layer changes none.

    >>> beyond(np.array([1.0, 2.0]), np.array([1.4, 1.4]))
    array([1. , 1.6])
    """
    over = np.nan_to_num(np.maximum(level_mm - layer_mm, 0.0), nan=0.0)
    found: Floats = level_mm - over * (1.0 - 1.0 / SOFTER)
    return found


def met_below(case: Planned) -> Flags:
    """Return which series meet their limit below a hardened layer (S,)."""
    if case.layer_mm is None:
        return np.zeros(case.limits.limit_mm.size, dtype=np.bool_)
    layer, limit = case.layer_mm, case.limits.limit_mm
    found: Flags = case.limits.usable & (layer > 0.0) & (layer < limit)
    return found


def counted(case: Planned, below: Flags) -> Planned:
    """Return the case in levels counted at the rate of the layer.

    below : (S,) from ``met_below``; the others stay as they are. A gauge's deviation
    stays too: one that depended on the level would move dates as the level does.
    """
    if case.layer_mm is None:
        raise ValueError("layer_mm is None; levels are counted by layers")
    layer = np.where(below, case.layer_mm, np.nan)
    of_reading = np.repeat(layer, case.readings.counts)
    sd = case.limits.limit_sd_mm
    counts_mm = case.counts_mm
    return dataclasses.replace(
        case,
        readings=dataclasses.replace(
            case.readings, level_mm=beyond(case.readings.level_mm, of_reading)
        ),
        limits=Limits(
            limit_mm=beyond(case.limits.limit_mm, layer),
            limit_sd_mm=np.where(below, sd / SOFTER, sd),
        ),
        counts_mm=None if counts_mm is None else beyond(counts_mm, of_reading),
        wanted=below if case.wanted is None else below & case.wanted,
    )
