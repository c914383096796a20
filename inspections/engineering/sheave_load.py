"""What the ropes do to the drive sheave: its shaft's load, and the torque on it."""

from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

from inspections.engineering.machine import Suspension
from inspections.engineering.tensions import rope_forces_n
from inspections.engineering.traction.rules import TractionRules
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.engineering.wrap import WrapAngles
from inspections.reasons import Code, because

Vector = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShaftLoad:
    """The resultant of all ropes on the drive sheave.

    Parameters
    ----------
    least_n : smallest resultant [N]
    most_n : greatest resultant [N]; the same in single wrap
    lean_rad : angle of the greatest one from the pull of the car's ropes [rad],
        towards the other side positive
    between_n : tension between the wheels of a double wrap, from T2 to T1 [N];
        None in single wrap

    Raises nothing; shaft_load makes it.

    Source: statics.

    >>> ShaftLoad(least_n=2.0, most_n=2.0, lean_rad=0.0, between_n=None).most_n
    2.0
    """

    least_n: float
    most_n: float
    lean_rad: float
    between_n: tuple[float, float] | None


def shaft_load(*, car_n: float, other_n: float, wrap: WrapAngles) -> ShaftLoad:
    """Return the resultant of the ropes on the drive sheave.

    Parameters
    ----------
    car_n : force of the whole rope set on the car's side, at the sheave [N], >= 0
    other_n : force on the other side, at the sheave [N], >= 0
    wrap : passes over the drive sheave

    In double wrap the tension between the wheels is not determined by statics: it lies
    between both forces, and the resultant is told at its least and its greatest. The
    sheave's own weight is not in it.

    Raises OutsideValidity for a negative force.

    Source: statics. Two pulls that leave a wrap α open by π - α: single wrap
    R² = T1² + T2² - 2·T1·T2·cos α. In double wrap both ropes between the wheels pull
    besides, on the two common tangents of the wheels.

    >>> found = shaft_load(car_n=22000.0, other_n=16000.0,
    ...     wrap=WrapAngles(angles_rad=(pi,)))
    >>> found.most_n, found.between_n
    (38000.0, None)
    >>> twice = shaft_load(car_n=22000.0, other_n=16000.0,
    ...     wrap=WrapAngles(angles_rad=(pi, pi)))
    >>> twice.least_n, twice.most_n
    (70000.0, 82000.0)
    """
    require_not_negative(car_n=car_n, other_n=other_n)
    ends = _pulls(wrap)
    fixed = _sum((car_n, ends[0]), (other_n, ends[-1]))
    if len(ends) == 2:
        return ShaftLoad(
            least_n=hypot(*fixed),
            most_n=hypot(*fixed),
            lean_rad=_lean(fixed),
            between_n=None,
        )
    low, high = sorted((car_n, other_n))
    loop = _sum((1.0, ends[1]), (1.0, ends[2]))
    at_ends = [_sum((1.0, fixed), (each, loop)) for each in (low, high)]
    greatest = max(at_ends, key=lambda pull: hypot(*pull))
    # Their sum grows along a line: it is least where that comes nearest to nothing.
    nearest = -(fixed[0] * loop[0] + fixed[1] * loop[1]) / hypot(*loop) ** 2
    least = _sum((1.0, fixed), (min(max(nearest, low), high), loop))
    return ShaftLoad(
        least_n=hypot(*least),
        most_n=hypot(*greatest),
        lean_rad=_lean(greatest),
        between_n=(low, high),
    )


def _pulls(wrap: WrapAngles) -> tuple[Vector, ...]:
    """Return the directions in which ropes pull at the sheave, car first."""
    out = pi - wrap.angles_rad[0]
    if len(wrap.angles_rad) == 1:
        return _unit(0.0), _unit(out)
    # What comes back from the second wheel leaves again where the first pass left.
    back = out - (pi - wrap.angles_rad[1])
    return _unit(0.0), _unit(out), _unit(back), _unit(out)


def _unit(angle_rad: float) -> Vector:
    return cos(angle_rad), sin(angle_rad)


def _sum(*parts: tuple[float, Vector]) -> Vector:
    return (
        sum(size * way[0] for size, way in parts),
        sum(size * way[1] for size, way in parts),
    )


def _lean(pull: Vector) -> float:
    return atan2(pull[1], pull[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class SheaveTorque:
    """Torque on the axle of the drive sheave.

    Parameters
    ----------
    brake_nm : what a brake has to hold at rest with the test load, or with the empty
        car where that is more [N·m]
    motor_nm : what moves the rated load or the empty car at constant speed [N·m],
        without losses
    loaded : whether the loaded car asks for the most of the brake

    Raises nothing; sheave_torque makes it.

    Source: statics.

    >>> SheaveTorque(brake_nm=2600.0, motor_nm=1900.0, loaded=True).loaded
    True
    """

    brake_nm: float
    motor_nm: float
    loaded: bool


def sheave_torque(
    *, suspension: Suspension, rules: TractionRules, running_diameter_mm: float
) -> SheaveTorque:
    """Return the torque that brake and motor give, at the axle of the drive sheave.

    Parameters
    ----------
    suspension : masses and run of the ropes
    rules : with which part of the rated load the brake is tested
    running_diameter_mm : D as turned, at the rope's middle [mm], > d

    Over both ends of travel. Behind a gear it is the torque over its ratio, and over
    its efficiency where the motor drives; the wear of a seat makes it less.

    Raises OutsideValidity for a diameter not above the rope's.

    Source: statics, (T1 - T2)·D/2; the brake with 125 % of the rated load at rest by
    EN 81-20:2014 5.9.2.2.2.1 (from memory).

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> found = sheave_torque(suspension=EXAMPLE_MACHINE, rules=EN_81_50,
    ...     running_diameter_mm=520.0)
    >>> found.brake_nm
    2260.3
    """
    require_positive(running_diameter_mm=running_diameter_mm)
    if running_diameter_mm <= suspension.rope_diameter_mm:
        raise OutsideValidity(
            name="running_diameter_mm",
            value=running_diameter_mm,
            rule=because(Code.RULE_ABOVE_ROPE),
        )
    arm_m = running_diameter_mm / 2000.0
    tested = _pull_n(suspension, rules.load_factor * suspension.rated_load_kg)
    empty = _pull_n(suspension, 0.0)
    rated = _pull_n(suspension, suspension.rated_load_kg)
    return SheaveTorque(
        brake_nm=max(tested, empty) * arm_m,
        motor_nm=max(rated, empty) * arm_m,
        loaded=tested >= empty,
    )


def _pull_n(suspension: Suspension, load_kg: float) -> float:
    """Greatest difference of the two forces at rest, over both ends of travel [N]."""
    found = []
    for height_m in (0.0, suspension.travel_m):
        car_n, other_n = rope_forces_n(
            suspension=suspension,
            car_load_kg=load_kg,
            car_height_m=height_m,
            acceleration_m_s2=0.0,
        )
        found.append(abs(car_n - other_n))
    return max(found)
