"""Weighted sums over the readings of each series: all that is kept of them.

Times are ages a (clock units before the last reading), so u = -a rises with time.

    W = Σw,  ū = Σwu/W,  ȳ = Σwy/W,
    Suu = Σw(u-ū)²,  Suy = Σw(u-ū)(y-ȳ),  Syy = Σw(y-ȳ)²

With weights 1/variance: slope Suy/Suu with variance 1/Suu, level at the centroid ȳ with
variance 1/W, independent of each other.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats
from inspections.projection.layout import Layout

NO_SPREAD = 1e-9
"""Floor of Suu·unit²: below it the readings say nothing about the rate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """Sums per series (S,), double. Clock and level are taken from the last reading.

    precision : W [1/mm²]; centre_clock : ū <= 0; centre_level : ȳ [mm]
    spread : Suu [clock²/mm²]; cross : Suy [clock/mm]; square : Syy [-]
    bend_spread, bend_cross : residual sums of (u-ū)² after a line [clock⁴/mm²] and with
        y [clock²/mm]; bend_slope : Σw(u-ū)³/Suu [clock]
    """

    precision: Floats
    centre_clock: Floats
    centre_level: Floats
    spread: Floats
    cross: Floats
    square: Floats
    bend_spread: Floats
    bend_cross: Floats
    bend_slope: Floats

    @property
    def slope(self) -> Floats:
        """Least-squares slope [mm/clock]; 0 where one reading says nothing."""
        return self.cross / np.maximum(self.spread, NO_SPREAD)

    @property
    def slope_variance(self) -> Floats:
        """Variance of the slope [mm²/clock²]; huge where one reading says nothing."""
        return 1.0 / np.maximum(self.spread, NO_SPREAD)

    def residual_square(self, slope: Floats) -> Floats:
        """Return Σw(y - line)² for a line of this slope through the centroid [-]."""
        rest = self.square - 2.0 * slope * self.cross + slope**2 * self.spread
        return np.maximum(rest, 0.0)


def moments(
    *, age: Floats, wear: Floats, weight: Floats, layout: Layout, bends: bool
) -> Moments:
    """Return the sums of each series; without ``bends`` the bend sums are zero.

    age, wear, weight : (N,) single; weight in 1/mm²
    layout : which readings are whose; no series is empty

    The bend sums tell how far the readings bow away from a straight line.
    """
    u = -age
    wu, wy = weight * u, weight * wear
    wuu = wu * u
    total = layout.sum(weight)
    first = layout.sum(wu) / total
    level = layout.sum(wy) / total
    second = layout.sum(wuu)
    spread = np.maximum(second - first * first * total, 0.0)
    cross = layout.sum(wu * wear) - first * level * total
    square = layout.sum(wy * wear) - level * level * total
    straight = Moments(
        precision=total,
        centre_clock=first,
        centre_level=level,
        spread=spread,
        cross=cross,
        square=np.maximum(square, 0.0),
        bend_spread=np.zeros_like(total),
        bend_cross=np.zeros_like(total),
        bend_slope=np.zeros_like(total),
    )
    if not bends:
        return straight
    curve = layout.sum(wuu * wear)
    wuu *= u
    third = layout.sum(wuu)
    wuu *= u
    return _bent(straight, second, third, layout.sum(wuu), curve)


def _bent(
    sums: Moments, second: Floats, third: Floats, fourth: Floats, curve: Floats
) -> Moments:
    """Return the sums with those of the parabola, from moments about the last reading.

    second, third, fourth : Σwu², Σwu³, Σwu⁴; curve : Σwu²y
    """
    total, c, level = sums.precision, sums.centre_clock, sums.centre_level
    cc = c * c
    third_central = third - 3 * c * second + 2 * cc * c * total
    fourth_central = fourth - 4 * c * third + 6 * cc * second - 3 * cc * cc * total
    uy = sums.cross + c * level * total
    curve_central = curve - 2 * c * uy + cc * level * total - level * sums.spread
    slope = third_central / np.maximum(sums.spread, NO_SPREAD)
    bend = fourth_central - sums.spread * sums.spread / total - slope * third_central
    return dataclasses.replace(
        sums,
        bend_spread=np.maximum(bend, 0.0),
        bend_cross=curve_central - slope * sums.cross,
        bend_slope=slope,
    )
