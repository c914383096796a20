"""The angle over which the rope lies on the drive sheave."""

from dataclasses import dataclass
from math import asin, atan2, hypot, pi

from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because

GREATEST_PASS_RAD = (1.5 * pi, 2.0 * pi)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrapAngles:
    """The passes of a rope over the drive sheave.

    Parameters
    ----------
    angles_rad : α of each pass [rad]: one for single wrap, two for double wrap,
        in the order from the car; at most 270° for the pass the car rope comes
        in on and 360° for the second, which is all that two sheaves can give

    Raises OutsideValidity for another number of passes or angles out of range.

    Source: derived, from two circles that do not overlap.

    >>> from math import radians
    >>> WrapAngles(angles_rad=(radians(165),)).total_rad
    2.8798
    """

    angles_rad: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.angles_rad) not in (1, 2):
            raise OutsideValidity(
                name="angles_rad",
                value=len(self.angles_rad),
                rule=because(Code.RULE_ONE_OR_TWO_ANGLES),
            )
        for angle_rad, high in zip(self.angles_rad, GREATEST_PASS_RAD, strict=False):
            require_positive(angles_rad=angle_rad)
            require_within(low=0.0, high=high, angles_rad=angle_rad)

    @property
    def total_rad(self) -> float:
        """The whole angle of wrap [rad]."""
        return sum(self.angles_rad)


def wrap_from_geometry(
    *,
    sheave_diameter_mm: float,
    pulley_diameter_mm: float,
    offset_x_mm: float,
    drop_h_mm: float,
    double: bool,
) -> WrapAngles:
    """Return the wrap of a rope over sheave and deflector (or secondary) pulley.

    Parameters
    ----------
    sheave_diameter_mm : D_t, pitch diameter of the drive sheave [mm], > 0
    pulley_diameter_mm : D_p, pitch diameter of the pulley [mm], > 0
    offset_x_mm : x, pulley centre beside the sheave's [mm], >= 0
    drop_h_mm : h, pulley centre below the sheave's [mm]; negative is above
    double : whether the rope passes the sheave twice

    Raises OutsideValidity where sheave and pulley would overlap, and outside
    these ranges.

    Source: derived, checked against the hull of two circles. C = √(x² + h²),
    ψ = atan2(x, h), δ = ψ - asin((D_t - D_p)/(2C)); single π - δ, double
    2π - δ + 2·asin((D_t - D_p)/(2C)).

    >>> from math import degrees
    >>> single = wrap_from_geometry(sheave_diameter_mm=600, pulley_diameter_mm=500,
    ...     offset_x_mm=700, drop_h_mm=500, double=False)
    >>> degrees(single.total_rad)
    128.870
    >>> double = wrap_from_geometry(sheave_diameter_mm=600, pulley_diameter_mm=500,
    ...     offset_x_mm=700, drop_h_mm=500, double=True)
    >>> degrees(double.total_rad)
    315.534
    """
    require_positive(
        sheave_diameter_mm=sheave_diameter_mm, pulley_diameter_mm=pulley_diameter_mm
    )
    require_not_negative(offset_x_mm=offset_x_mm)
    require_finite(drop_h_mm=drop_h_mm)
    centres_mm = hypot(offset_x_mm, drop_h_mm)
    least_mm = (sheave_diameter_mm + pulley_diameter_mm) / 2.0
    if centres_mm <= least_mm:
        raise OutsideValidity(
            name="offset_x_mm",
            value=offset_x_mm,
            rule=because(Code.RULE_CENTRES_APART, least=least_mm, centres=centres_mm),
        )
    lean_rad = asin((sheave_diameter_mm - pulley_diameter_mm) / (2.0 * centres_mm))
    first_rad = pi - atan2(offset_x_mm, drop_h_mm) + lean_rad
    if not double:
        return WrapAngles(angles_rad=(first_rad,))
    return WrapAngles(angles_rad=(first_rad, pi + 2.0 * lean_rad))
