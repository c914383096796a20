"""The first depth at which a margin turns negative."""

from collections.abc import Callable, Sequence

from inspections.engineering.validity import OutsideValidity

GREATEST_STEPS = 200
EXACT_TO_MM = 1e-10


def first_crossing_mm(
    *, surplus: Callable[[float], float], depths_mm: Sequence[float]
) -> float | None:
    """Return the first depth at which a surplus turns negative, or None if never.

    Parameters
    ----------
    surplus : what is left at a depth [mm]; not negative at the first one
    depths_mm : rising depths [mm] with at most one crossing between neighbours

    Raises OutsideValidity where the surplus is negative at the first depth.

    Source: derived; false position in its Illinois form, which keeps the root
    bracketed (Dowell and Jarratt 1971, from memory).

    >>> first_crossing_mm(surplus=lambda s: 2.0 - s * s, depths_mm=(0.0, 1.0, 2.0))
    1.41421356
    """
    before_mm, before = depths_mm[0], surplus(depths_mm[0])
    if before < 0.0:
        raise OutsideValidity(name="surplus", value=before, rule="zero or more as new")
    for depth_mm in depths_mm[1:]:
        value = surplus(depth_mm)
        if value < 0.0:
            return _bracketed(surplus, before_mm, before, depth_mm, value)
        before_mm, before = depth_mm, value
    return None


def _bracketed(
    surplus: Callable[[float], float],
    low_mm: float,
    low: float,
    high_mm: float,
    high: float,
) -> float:
    """Narrow a bracket with low >= 0 > high."""
    for step in range(GREATEST_STEPS):
        if high_mm - low_mm < EXACT_TO_MM or low == 0.0:
            break
        middle_mm = (low_mm * high - high_mm * low) / (high - low)
        if step % 4 == 3 or not low_mm < middle_mm < high_mm:
            # Near a square root's edge false position creeps: halve instead.
            middle_mm = (low_mm + high_mm) / 2.0
        value = surplus(middle_mm)
        if value < 0.0:
            high_mm, high, low = middle_mm, value, low / 2.0
        else:
            low_mm, low, high = middle_mm, value, high / 2.0
    return low_mm
