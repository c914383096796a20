"""What a window is looked for with: the machine, its rim, and what is demanded."""

from dataclasses import dataclass

from inspections.engineering.suspension import Suspension
from inspections.engineering.traction.rules import TractionRules
from inspections.engineering.validity import (
    require_not_negative,
    require_positive,
    require_within,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """The metal of a rim, by where its underside lies.

    Parameters
    ----------
    underside_mm : from the pitch radius as turned last down to the underside at the
        thinnest groove, what is unsure counted against it [mm], > 0
    minimum_mm : the least metal under a groove, the maker's [mm], >= 0

    Raises OutsideValidity outside these ranges.

    Source: geometry of the turned rim.

    >>> Metal(underside_mm=30.0, minimum_mm=12.0).minimum_mm
    12.0
    """

    underside_mm: float
    minimum_mm: float

    def __post_init__(self) -> None:
        require_positive(underside_mm=self.underside_mm)
        require_not_negative(minimum_mm=self.minimum_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Deflector:
    """The pulley that sets the wrap, so that it follows the sheave's diameter.

    Parameters
    ----------
    diameter_mm : D_p [mm], > 0
    offset_x_mm : x, its centre beside the sheave's [mm], >= 0
    drop_h_mm : h, its centre below the sheave's [mm]

    Raises OutsideValidity for a diameter that is not positive.

    Source: as wrap_from_geometry.

    >>> Deflector(diameter_mm=500.0, offset_x_mm=700.0, drop_h_mm=500.0).offset_x_mm
    700.0
    """

    diameter_mm: float
    offset_x_mm: float
    drop_h_mm: float

    def __post_init__(self) -> None:
        require_positive(diameter_mm=self.diameter_mm)
        require_not_negative(offset_x_mm=self.offset_x_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowGiven:
    """A machine and what is demanded of its next grooves.

    Parameters
    ----------
    suspension : masses and run of the ropes; its sheave_diameter_mm is the pitch
        diameter as turned last [mm]
    rules : the code's values
    margin : the margin that every load case has to keep [-], from 0 to 0.5
    deepest_mm : the deepest seat there is, which a cut has to go below [mm], >= 0
    seat_radius_mm : r_g of turned seats [mm], > 0
    bottom_clearance_mm : c0, of an undercut as cut [mm], > 0
    vee_bottom_width_mm : w, of a V as cut [mm], >= 0
    vee_slot_depth_mm : t, of a V's relief slot, 0 for a flat [mm], >= 0
    hardened_depth_mm : as it will be after the cut [mm], >= 0
    to_depth_mm : the seat depth up to which all has to hold [mm], > 0; None for the
        bottom less its allowance
    breaking_force_n : of one rope [N], > 0; None leaves the safety factor out
    pulley_diameters_mm : all pulleys but the drive sheave [mm]
    reverse_bends : how many of them bend the rope in reverse [-]
    factor_floor : the least safety factor of the set [-], > 0; None leaves it out
    factor_by_speed : True where the floor alone is required, as by rope speed
    limit_pressure : whether the old limit on pressure is demanded
    least_ratio : D/d at least [-]; None leaves it out
    old_vee_table : True for the V table of EN 81-1:1998
    metal : of the rim; None leaves it out
    deflector : what sets the wrap; None where the wrap stays as it is

    What is left out is not demanded, and has to be said beside the window.

    Raises OutsideValidity outside these ranges.

    Source: own definition.
    """

    suspension: Suspension
    rules: TractionRules
    margin: float
    deepest_mm: float
    seat_radius_mm: float
    bottom_clearance_mm: float
    vee_bottom_width_mm: float = 0.0
    vee_slot_depth_mm: float = 0.0
    hardened_depth_mm: float = 0.0
    to_depth_mm: float | None = None
    breaking_force_n: float | None = None
    pulley_diameters_mm: tuple[float, ...] = ()
    reverse_bends: int = 0
    factor_floor: float | None = None
    factor_by_speed: bool = False
    limit_pressure: bool = True
    least_ratio: float | None = None
    old_vee_table: bool = False
    metal: Metal | None = None
    deflector: Deflector | None = None

    def __post_init__(self) -> None:
        require_within(low=0.0, high=0.5, margin=self.margin)
        require_not_negative(
            deepest_mm=self.deepest_mm,
            vee_bottom_width_mm=self.vee_bottom_width_mm,
            vee_slot_depth_mm=self.vee_slot_depth_mm,
            hardened_depth_mm=self.hardened_depth_mm,
        )
        require_positive(
            seat_radius_mm=self.seat_radius_mm,
            bottom_clearance_mm=self.bottom_clearance_mm,
            to_depth_mm=1.0 if self.to_depth_mm is None else self.to_depth_mm,
            breaking_force_n=self.breaking_force_n or 1.0,
            factor_floor=self.factor_floor or 1.0,
        )
