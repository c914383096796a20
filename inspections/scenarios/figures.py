"""Numbers of one side of the comparison; what is not known is None."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from math import degrees, log
from typing import Any, TypeVar

from inspections import inputs
from inspections.assessment.basis import Basis
from inspections.assessment.draft import Draft
from inspections.engineering import rope, sheave_load, slip, tensions
from inspections.engineering.rope.endurance import Bending
from inspections.engineering.suspension import Suspension
from inspections.engineering.traction.margins import worn_factor_ratio
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot
from inspections.reasons import Topic

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Numbers of one side.

    Forces and pressure are those at rest with the rated load, the car at its lowest
    landing; the brake is that of 125 % at rest, or of the empty car where that asks
    for more. In double wrap the shaft's load lies between its two figures. Creep is
    that of a round trip of the empty car with the seat as cut.
    """

    car_mass_kg: float | None = None
    rated_load_kg: float | None = None
    counterweight_mass_kg: float | None = None
    balance_percent: float | None = None
    sheave_diameter_mm: float | None = None
    diameter_ratio: float | None = None
    wrap_deg: float | None = None
    rope_speed_m_s: float | None = None
    pressure_mpa: float | None = None
    pressure_limit_mpa: float | None = None
    safety_factor: float | None = None
    safety_factor_required: float | None = None
    equivalent_pulleys: float | None = None
    creep_mm: float | None = None
    shaft_least_n: float | None = None
    shaft_most_n: float | None = None
    between_least_n: float | None = None
    between_most_n: float | None = None
    brake_torque_nm: float | None = None
    motor_torque_nm: float | None = None


NAMES = tuple(each.name for each in fields(Figures))


def figures_of(
    snapshot: Snapshot, drafts: Iterable[Draft], known: Basis
) -> tuple[Figures, Bending | None]:
    """Return the numbers, and what the life of the ropes depends on."""
    pressure = first(drafts, Topic.PRESSURE)
    strength = first(drafts, Topic.SAFETY_FACTOR)
    bending = _bending(strength)
    found: dict[str, float | None] = {
        "pressure_mpa": pressure.value if pressure else None,
        "pressure_limit_mpa": pressure.limit if pressure else None,
        "safety_factor": strength.value if strength else None,
        "safety_factor_required": strength.limit if strength else None,
        "equivalent_pulleys": bending.equivalent_pulleys if bending else None,
    }
    if known.suspension is not None:
        found |= _of_masses(known.suspension)
        found |= _of_loads(known.carried or known.suspension, known)
        found["creep_mm"] = tried(lambda: _creep_mm(snapshot, known))
    return Figures(**found), bending


def first(drafts: Iterable[Draft], topic: Topic) -> Draft | None:
    """Return the first finding of a topic."""
    return next((draft for draft in drafts if draft.topic == topic), None)


def tried(make: Callable[[], Made]) -> Made | None:
    """Return what is made, None where something lacks or lies out of range."""
    try:
        return make()
    except (Missing, OutsideValidity):
        return None


def _of_masses(hung: Suspension) -> dict[str, float | None]:
    heavier_kg = hung.balancing_mass_kg - hung.car_mass_kg
    return {
        "car_mass_kg": hung.car_mass_kg,
        "rated_load_kg": hung.rated_load_kg,
        "counterweight_mass_kg": hung.balancing_mass_kg,
        "balance_percent": 100.0 * heavier_kg / hung.rated_load_kg,
        "sheave_diameter_mm": hung.sheave_diameter_mm,
        "diameter_ratio": tried(
            lambda: rope.diameter_ratio(
                sheave_diameter_mm=hung.sheave_diameter_mm,
                rope_diameter_mm=hung.rope_diameter_mm,
            )
        ),
        "wrap_deg": degrees(hung.wrap.total_rad),
        "rope_speed_m_s": hung.rope_speed_m_s,
    }


def _of_loads(hung: Suspension, known: Basis) -> dict[str, float | None]:
    car_n, other_n = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=hung.rated_load_kg,
        car_height_m=0.0,
        acceleration_m_s2=0.0,
    )
    shaft = sheave_load.shaft_load(car_n=car_n, other_n=other_n, wrap=hung.wrap)
    torque = tried(
        lambda: sheave_load.sheave_torque(
            suspension=hung,
            rules=known.rules,
            running_diameter_mm=hung.sheave_diameter_mm,
        )
    )
    between = shaft.between_n
    return {
        "shaft_least_n": shaft.least_n,
        "shaft_most_n": shaft.most_n,
        "between_least_n": between[0] if between else None,
        "between_most_n": between[1] if between else None,
        "brake_torque_nm": torque.brake_nm if torque else None,
        "motor_torque_nm": torque.motor_nm if torque else None,
    }


def _bending(draft: Draft | None) -> Bending | None:
    """Return what the life of the ropes depends on, where the code counts pulleys."""
    asked: Mapping[str, Any] = draft.detail.get("asked", {}) if draft else {}
    if not asked or asked.get("equivalent_pulleys") is None:
        return None
    return Bending(
        equivalent_pulleys=asked["equivalent_pulleys"],
        diameter_ratio=asked["diameter_ratio"],
        safety_factor=asked["actual"],
    )


def _creep_mm(snapshot: Snapshot, known: Basis) -> float | None:
    """Return the creep of a round trip. Raises Missing, OutsideValidity."""
    hung, groove = known.suspension, known.groove
    rope_set = snapshot.rope_set
    if hung is None or groove is None or rope_set is None or not rope_set.modulus_mpa:
        return None
    pair = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=0.0,
        car_height_m=hung.travel_m / 2.0,
        acceleration_m_s2=0.0,
    )
    high_n, low_n = max(pair) / hung.rope_count, min(pair) / hung.rope_count
    ratio = worn_factor_ratio(
        groove=groove, rope_diameter_mm=hung.rope_diameter_mm, seat_depth_mm=0.0
    )
    area_mm2 = inputs.rope_of(snapshot).area_mm2
    exponent = known.rules.mu_loading * ratio * hung.wrap.total_rad
    if not area_mm2 or exponent <= log(high_n / low_n):
        return None
    return slip.elastic_creep_mm(
        rope_travel_m=hung.rope_travel_m,
        t1_n=high_n,
        t2_n=low_n,
        exponent=exponent,
        wrap_angle_rad=hung.wrap.total_rad,
        sheave_diameter_mm=hung.sheave_diameter_mm,
        rope_stiffness_n=rope_set.modulus_mpa * area_mm2,
    )
