"""What is often not known of how a car runs and of what hangs on its ropes."""

from math import radians

from inspections.engineering.source import Certainty, Source
from inspections.engineering.unknowns.unknown import Unknown

_PRACTICE = Source(document="practice", certainty=Certainty.COMMON_PRACTICE)
_EN_81_50_BRAKING = Source(
    document="EN 81-50",
    edition="2014",
    clause="5.11.2.1.2, 0.5 m/s² or more; the upper end is practice",
    certainty=Certainty.FROM_MEMORY,
)

MASSES = "car_and_balance"

OF_MACHINES: tuple[Unknown, ...] = (
    # How far and how fast the car runs, and with what.
    Unknown(
        name="travel_m",
        words="travel of the car",
        low=3.0,
        typical=20.0,
        high=100.0,
        unit="m",
        source=_PRACTICE,
    ),
    Unknown(
        name="rated_speed_m_s",
        words="rated speed of the car",
        low=0.4,
        typical=1.0,
        high=2.5,
        unit="m/s",
        source=_PRACTICE,
    ),
    Unknown(
        name="rated_load_kg",
        words="rated load against the mass of the empty car",
        low=0.5,
        typical=0.77,
        high=1.43,
        unit="-",
        of="car_mass_kg",
        group=MASSES,
        source=_PRACTICE,
        note="the range of the car's mass against the load, turned round",
    ),
    Unknown(
        name="rated_load_alone_kg",
        words="rated load where the mass of the car is not known either",
        low=225.0,
        typical=630.0,
        high=1600.0,
        unit="kg",
        group=MASSES,
        source=_PRACTICE,
    ),
    Unknown(
        name="braking_deceleration_m_s2",
        words="deceleration of the car in an emergency stop",
        low=0.5,
        typical=0.5,
        high=1.0,
        unit="m/s²",
        source=_EN_81_50_BRAKING,
        note="0.8 m/s² is asked for with buffers of reduced stroke (from memory); "
        "brakes often stop a car harder still",
    ),
    # What hangs on the sheave.
    Unknown(
        name="car_mass_kg",
        words="mass of the empty car against the rated load",
        low=0.7,
        typical=1.3,
        high=2.0,
        unit="-",
        of="rated_load_kg",
        group=MASSES,
        source=_PRACTICE,
        note="down to a bare car of light metal; a counterweight known by its balance "
        "goes with it",
    ),
    Unknown(
        name="balance_ratio",
        words="part of the rated load that the counterweight balances",
        low=0.40,
        typical=0.45,
        high=0.50,
        unit="-",
        group=MASSES,
        source=_PRACTICE,
    ),
    Unknown(
        name="counterweight_mass_kg",
        words="mass of a counterweight once weighed, against what was said",
        low=0.95,
        typical=1.0,
        high=1.05,
        unit="-",
        of="counterweight_mass_kg",
        source=_PRACTICE,
        note="weighed by itself, so it does not go with the car",
    ),
    Unknown(
        name="wrap_angle_rad",
        words="angle of wrap of a single pass",
        low=radians(135.0),
        typical=radians(160.0),
        high=radians(180.0),
        unit="rad",
        source=_PRACTICE,
    ),
    Unknown(
        name="compensation_kg_per_m",
        words="compensation against the mass of the ropes",
        low=0.0,
        typical=0.0,
        high=1.1,
        unit="-",
        of="ropes_kg_per_m",
        source=_PRACTICE,
    ),
    Unknown(
        name="travelling_cable_kg_per_m",
        words="travelling cables",
        low=0.3,
        typical=1.0,
        high=2.0,
        unit="kg/m",
        source=_PRACTICE,
    ),
)
