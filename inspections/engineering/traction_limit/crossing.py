"""The first depth at which a margin turns negative."""

from collections.abc import Callable, Sequence
from math import sqrt

from inspections.engineering.validity import OutsideValidity
from inspections.reasons import Code, because

EXACT_TO_MM = 1e-9
GOLDEN = (sqrt(5.0) - 1.0) / 2.0
DIP_STEPS = 25
MOST_STEPS = 200


def first_crossing_mm(
    *, surplus: Callable[[float], float], depths_mm: Sequence[float]
) -> float | None:
    """Return the first depth at which a surplus turns negative, or None if never.

    Parameters
    ----------
    surplus : what is left at a depth [mm]; not negative at the first one
    depths_mm : rising depths [mm] with at most one crossing between neighbours,
        but for one dip, whose bottom is looked for

    At the depth returned the surplus is not negative, 1e-9 mm further it is.

    Raises OutsideValidity where the surplus is negative at the first depth.

    Source: derived; bracketing with inverse quadratic steps (Chandrupatla 1997,
    Advances in Engineering Software 28, from memory).

    >>> first_crossing_mm(surplus=lambda s: 2.0 - s * s, depths_mm=(0.0, 1.0, 2.0))
    1.41421356
    """
    points = [(depths_mm[0], surplus(depths_mm[0]))]
    if points[0][1] < 0.0:
        raise OutsideValidity(
            name="surplus", value=points[0][1], rule=because(Code.RULE_OPEN_AS_NEW)
        )
    for depth_mm in depths_mm[1:]:
        points.append((depth_mm, surplus(depth_mm)))
        if points[-1][1] < 0.0:
            return _bracketed(surplus, points[-2], points[-1])
    return _in_dip(surplus, points)


Point = tuple[float, float]


def _in_dip(surplus: Callable[[float], float], points: list[Point]) -> float | None:
    """Look for a crossing in the lowest dip that the points leave room for."""
    dips = [
        i
        for i in range(1, len(points) - 1)
        if points[i][1] < points[i - 1][1] and points[i][1] <= points[i + 1][1]
    ]
    if not dips:
        return None
    lowest = min(dips, key=lambda i: points[i][1])
    dip = _dip(surplus, points[lowest - 1][0], points[lowest + 1][0])
    return None if dip[1] >= 0.0 else _bracketed(surplus, points[lowest - 1], dip)


def _dip(surplus: Callable[[float], float], low_mm: float, high_mm: float) -> Point:
    """Return the bottom of a dip, by golden section, or the first place below zero."""
    left_mm = high_mm - GOLDEN * (high_mm - low_mm)
    right_mm = low_mm + GOLDEN * (high_mm - low_mm)
    left, right = surplus(left_mm), surplus(right_mm)
    for _ in range(DIP_STEPS):
        if min(left, right) < 0.0:
            break
        if left < right:
            high_mm, right_mm, right = right_mm, left_mm, left
            left_mm = high_mm - GOLDEN * (high_mm - low_mm)
            left = surplus(left_mm)
        else:
            low_mm, left_mm, left = left_mm, right_mm, right
            right_mm = low_mm + GOLDEN * (high_mm - low_mm)
            right = surplus(right_mm)
    return (left_mm, left) if left < right else (right_mm, right)


def _bracketed(surplus: Callable[[float], float], low: Point, high: Point) -> float:
    """Narrow a bracket whose ends differ in sign; return its end that still holds.

    Should the steps run out, that end is still on the safe side of the crossing.
    """
    newest, opposite = high, low
    part = 0.5
    for _ in range(MOST_STEPS):
        if abs(opposite[0] - newest[0]) < EXACT_TO_MM:
            break
        depth_mm = newest[0] + part * (opposite[0] - newest[0])
        if depth_mm in (newest[0], opposite[0]):
            break  # So far out that no number lies between the ends.
        value = surplus(depth_mm)
        if (value < 0.0) == (newest[1] < 0.0):
            third = newest
        else:
            third, opposite = opposite, newest
        newest = (depth_mm, value)
        part = _next_part(newest, opposite, third)
    return newest[0] if newest[1] >= 0.0 else opposite[0]


def _next_part(newest: Point, opposite: Point, third: Point) -> float:
    """Where in the bracket to look next: by inverse quadratic, else in the middle."""
    (a, fa), (b, fb), (c, fc) = newest, opposite, third
    place, level = (a - b) / (c - b), (fa - fb) / (fc - fb)
    part = 0.5
    if level**2 < place and (1.0 - level) ** 2 < 1.0 - place:
        part = fa / (fb - fa) * fc / (fb - fc)
        part += (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    width_mm = abs(b - a)
    least = EXACT_TO_MM / 2.0 / width_mm if width_mm > EXACT_TO_MM else 0.5
    if part < least:
        return least
    return part if part < 1.0 - least else 1.0 - least
