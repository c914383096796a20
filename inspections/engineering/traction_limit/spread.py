"""How sure the register's items are, and a machine with one of them shifted."""

from dataclasses import dataclass, fields, replace
from math import radians

from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.validity import OutsideValidity, require_not_negative
from inspections.engineering.wrap import WrapAngles
from inspections.records import made_by_slots

# Common practice, no source: a car mass from a data plate, a balance from a
# current test, a wrap from a drawing, a groove angle from a template.
USUAL_CAR_MASS_RATIO = 0.05
USUAL_BALANCE = 0.02
USUAL_COUNTERWEIGHT_RATIO = 0.05
USUAL_WRAP_RAD = radians(1.5)
USUAL_ANGLE_RAD = radians(0.5)
USUAL_CLEARANCE_MM = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterSpread:
    """Standard deviations of the register's items; 0 is taken as exact.

    Parameters
    ----------
    car_mass_kg : of the empty car [kg]; a counterweight known by its balance
        follows the car
    balance_ratio : of the balance [-]
    counterweight_mass_kg : of a weighed counterweight [kg]
    wrap_angle_rad : of the whole wrap [rad]
    friction_ratio : of μ, as a part of it [-]; 0 as long as μ is what a code says
    groove_angle_rad : of the V's angle or the seat's mouth angle [rad]
    undercut_angle_rad : of the undercut angle [rad]
    bottom_clearance_mm : of the undercut's clearance or the V's slot depth [mm]
    rope_diameter_mm : of the rope that made the seat [mm]

    Raises OutsideValidity for one below zero.

    Source: derived; a register's own statement of its uncertainty.

    >>> RegisterSpread(car_mass_kg=60.0).balance_ratio
    0.0
    """

    car_mass_kg: float = 0.0
    balance_ratio: float = 0.0
    counterweight_mass_kg: float = 0.0
    wrap_angle_rad: float = 0.0
    friction_ratio: float = 0.0
    groove_angle_rad: float = 0.0
    undercut_angle_rad: float = 0.0
    bottom_clearance_mm: float = 0.0
    rope_diameter_mm: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative(**{item.name: getattr(self, item.name) for item in ITEMS})


ITEMS = fields(RegisterSpread)


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """Everything a traction limit depends on besides the code's values.

    Parameters
    ----------
    suspension : masses and run of the ropes
    groove : the groove as turned
    rope_diameter_mm : d of the rope that made the seat [mm], > 0
    friction_scale : by which μ is multiplied [-], 1 for the code's own

    Raises nothing.

    Source: derived.

    >>> [item.name for item in fields(Circumstances)][-1]
    'friction_scale'
    """

    suspension: Suspension
    groove: TurnedGroove
    rope_diameter_mm: float
    friction_scale: float = 1.0


def usual_spread(*, suspension: Suspension) -> RegisterSpread:
    """Return what a register is usually worth where it does not say.

    Parameters
    ----------
    suspension : masses [kg]; spreads of masses are parts of them

    Raises nothing.

    Source: common practice, no source: car mass 5 %, balance 0.02, wrap 1.5°,
    angles 0.5°, clearance 0.15 mm; μ taken as the code's own.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> usual_spread(suspension=EXAMPLE_MACHINE).car_mass_kg
    60.0
    """
    weighed_kg = suspension.counterweight_mass_kg
    return RegisterSpread(
        car_mass_kg=USUAL_CAR_MASS_RATIO * suspension.car_mass_kg,
        balance_ratio=USUAL_BALANCE if weighed_kg is None else 0.0,
        counterweight_mass_kg=USUAL_COUNTERWEIGHT_RATIO * (weighed_kg or 0.0),
        wrap_angle_rad=USUAL_WRAP_RAD,
        groove_angle_rad=USUAL_ANGLE_RAD,
        undercut_angle_rad=USUAL_ANGLE_RAD,
        bottom_clearance_mm=USUAL_CLEARANCE_MM,
    )


def shifted(
    *, circumstances: Circumstances, item: str, by: float
) -> Circumstances | None:
    """Return the same with one item of the register shifted, or None.

    Parameters
    ----------
    circumstances : as the register has them
    item : name of a field of RegisterSpread
    by : shift, in the unit of that field ([kg], [-], [rad] or [mm])

    None where the item does not exist on this machine or the shifted value
    would be outside its range.

    Raises nothing.

    Source: derived.

    >>> from math import radians
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import VGroove
    >>> now = Circumstances(suspension=EXAMPLE_MACHINE, rope_diameter_mm=13.0,
    ...     groove=VGroove(groove_angle_rad=radians(38)))
    >>> lighter = shifted(circumstances=now, item="car_mass_kg", by=-60.0)
    >>> lighter.suspension.car_mass_kg
    1140.0
    """
    try:
        if item in ("car_mass_kg", "balance_ratio", "counterweight_mass_kg"):
            return _with_mass(circumstances, item, by)
        if item == "wrap_angle_rad":
            return _with_wrap(circumstances, by)
        if item == "friction_ratio":
            return replace(circumstances, friction_scale=1.0 + by)
        if item == "rope_diameter_mm":
            diameter_mm = circumstances.rope_diameter_mm + by
            return replace(circumstances, rope_diameter_mm=diameter_mm)
        return _with_groove(circumstances, item, by)
    except OutsideValidity:
        return None


def _with_mass(
    circumstances: Circumstances, item: str, by: float
) -> Circumstances | None:
    suspension = circumstances.suspension
    value = getattr(suspension, item)
    if value is None:
        return None
    changed = replace(suspension, **{item: value + by})
    return replace(circumstances, suspension=changed)


def _with_wrap(circumstances: Circumstances, by: float) -> Circumstances:
    wrap = circumstances.suspension.wrap
    scale = 1.0 + by / wrap.total_rad
    changed = WrapAngles(angles_rad=tuple(angle * scale for angle in wrap.angles_rad))
    suspension = replace(circumstances.suspension, wrap=changed)
    return replace(circumstances, suspension=suspension)


def _with_groove(
    circumstances: Circumstances, item: str, by: float
) -> Circumstances | None:
    groove = circumstances.groove
    name = groove.fields_of_items().get(item)
    if name is None:
        return None
    changed = replace(groove, **{name: getattr(groove, name) + by})
    return replace(circumstances, groove=changed)
