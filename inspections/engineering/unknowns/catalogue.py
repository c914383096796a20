"""The table of unknowns: typical value, plausible range and source of each."""

from collections.abc import Mapping
from math import radians

from inspections.engineering.source import Certainty, Source
from inspections.engineering.unknowns.unknown import Unknown

_PRACTICE = Source(document="practice", certainty=Certainty.COMMON_PRACTICE)
_MEMORY = Source(document="trade practice", certainty=Certainty.FROM_MEMORY)
_FEYRER = Source(
    document="K. Feyrer, Wire Ropes",
    edition="2015",
    clause="table 1.9",
    certainty=Certainty.CONFIRMED,
)
_FEYRER_SEAT = Source(
    document="K. Feyrer, Wire Ropes",
    edition="2015",
    clause="table 3.15, 0.53 d as reference; the range is practice",
    certainty=Certainty.COMMON_PRACTICE,
)
_FEYRER_MODULUS = Source(
    document="K. Feyrer, Wire Ropes",
    edition="2015",
    clause="example 2.13: 59 000 and 71 000 N/mm²; the range is practice",
    certainty=Certainty.COMMON_PRACTICE,
)
_TOLERANCE = Source(
    document="EN 12385-5 / ISO 4344",
    clause="new ropes of 10 mm and less: 0 to +6 %, above: 0 to +5 %",
    certainty=Certainty.FROM_MEMORY,
)
_EN_81_50 = Source(
    document="EN 81-50",
    edition="2014",
    clause="5.11.2.2.1, mouth not below 25°; the upper end is practice",
    certainty=Certainty.FROM_MEMORY,
)
_RATIO = Source(
    document="EN 81-20",
    edition="2014",
    clause="5.5.2.1, D/d 40 or more; the range is practice",
    certainty=Certainty.FROM_MEMORY,
)

MASSES = "car_and_balance"
PULLEYS = "pulleys"
SLOT = "groove_section"

ALL: tuple[Unknown, ...] = (
    # The groove as turned.
    Unknown(
        name="mouth_angle_rad",
        words="angle by which the mouth of a round or undercut groove opens",
        low=radians(25.0),
        typical=radians(30.0),
        high=radians(45.0),
        unit="rad",
        group=SLOT,
        source=_EN_81_50,
    ),
    Unknown(
        name="undercut_angle_rad",
        words="undercut angle",
        low=radians(75.0),
        typical=radians(95.0),
        high=radians(106.0),
        unit="rad",
        group=SLOT,
        source=_PRACTICE,
        note="the tabulated angles, up to the greatest that is allowed",
    ),
    Unknown(
        name="bottom_width_mm",
        words="width of the flat or slot at the bottom of a V",
        low=0.0,
        typical=0.4,
        high=0.55,
        unit="-",
        of="rope_diameter_mm",
        group=SLOT,
        source=_PRACTICE,
    ),
    Unknown(
        name="bottom_clearance_mm",
        words="clearance from a new rope to the bottom of the slot",
        low=0.1,
        typical=0.25,
        high=0.45,
        unit="-",
        of="rope_diameter_mm",
        group=SLOT,
        source=_PRACTICE,
    ),
    Unknown(
        name="seat_radius_mm",
        words="radius of the turned seat",
        low=0.50,
        typical=0.53,
        high=0.56,
        unit="-",
        of="rope_diameter_mm",
        group=SLOT,
        source=_FEYRER_SEAT,
    ),
    # The rim.
    Unknown(
        name="cast_runout_mm",
        words="run-out of the cast underside of the rim, indicator reading",
        low=0.0,
        typical=1.0,
        high=3.0,
        unit="mm",
        source=_PRACTICE,
    ),
    # How far the car runs, where only the stretch of its ropes is asked for.
    Unknown(
        name="travel_m",
        words="travel of the car",
        low=3.0,
        typical=20.0,
        high=100.0,
        unit="m",
        source=_PRACTICE,
    ),
    # What hangs on the sheave.
    Unknown(
        name="car_mass_kg",
        words="mass of the empty car against the rated load",
        low=0.8,
        typical=1.3,
        high=2.0,
        unit="-",
        of="rated_load_kg",
        group=MASSES,
        source=_PRACTICE,
        note="a counterweight known by its balance goes with it",
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
    # The ropes.
    Unknown(
        name="rope_mass_kg_per_m",
        words="mass of a rope, as a factor on d² in cm²",
        low=0.340,
        typical=0.380,
        high=0.407,
        unit="-",
        of="square_cm",
        source=_FEYRER,
    ),
    Unknown(
        name="metallic_area_mm2",
        words="metallic area of a rope against d²",
        low=0.349,
        typical=0.384,
        high=0.457,
        unit="-",
        of="square_mm",
        group="rope_stiffness",
        source=_FEYRER,
    ),
    Unknown(
        name="modulus_mpa",
        words="modulus of a rope with fibre core",
        low=45_000.0,
        typical=60_000.0,
        high=75_000.0,
        unit="MPa",
        group="rope_stiffness",
        source=_FEYRER_MODULUS,
    ),
    Unknown(
        name="modulus_any_core_mpa",
        words="modulus of a rope whose core is not known",
        low=45_000.0,
        typical=70_000.0,
        high=120_000.0,
        unit="MPa",
        group="rope_stiffness",
        source=_FEYRER_MODULUS,
    ),
    Unknown(
        name="unworn_diameter_mm",
        words="diameter of the unworn part against nominal, ropes above 10 mm",
        low=1.0,
        typical=1.02,
        high=1.05,
        unit="-",
        of="nominal_diameter_mm",
        source=_TOLERANCE,
    ),
    Unknown(
        name="unworn_diameter_thin_mm",
        words="diameter of the unworn part against nominal, ropes up to 10 mm",
        low=1.0,
        typical=1.03,
        high=1.06,
        unit="-",
        of="nominal_diameter_mm",
        source=_TOLERANCE,
    ),
    Unknown(
        name="breaks_missed_share",
        words="part of the broken wires that a count by eye misses",
        low=0.0,
        typical=0.1,
        high=0.3,
        unit="-",
        source=_PRACTICE,
        note="misses go one way only: there are never fewer than were counted",
    ),
    # Pulleys besides the drive sheave.
    Unknown(
        name="pulleys_one_to_one",
        words="pulleys besides the drive sheave at 1:1",
        low=0.0,
        typical=1.0,
        high=2.0,
        unit="pulleys",
        group=PULLEYS,
        source=_PRACTICE,
    ),
    Unknown(
        name="pulleys_two_to_one",
        words="pulleys besides the drive sheave at 2:1",
        low=2.0,
        typical=3.0,
        high=5.0,
        unit="pulleys",
        group=PULLEYS,
        source=_PRACTICE,
    ),
    Unknown(
        name="reverse_bends",
        words="reverse bends over pulleys",
        low=0.0,
        typical=0.0,
        high=1.0,
        unit="bends",
        group=PULLEYS,
        source=_PRACTICE,
    ),
    Unknown(
        name="pulley_diameter_mm",
        words="diameter of the pulleys against that of the rope",
        low=40.0,
        typical=40.0,
        high=50.0,
        unit="-",
        of="rope_diameter_mm",
        group=PULLEYS,
        source=_RATIO,
    ),
    Unknown(
        name="seat_runout_mm",
        words="run-out of the seats of a worn sheave",
        low=0.0,
        typical=0.1,
        high=0.3,
        unit="mm",
        source=_MEMORY,
        note="D/2000 on a new sheave of 600 mm is 0.3 mm",
    ),
)

_BY_NAME: Mapping[str, Unknown] = {each.name: each for each in ALL}


def find(*, name: str) -> Unknown:
    """Return one row of the table by its name.

    Parameters
    ----------
    name : name of the value, with its unit

    Raises KeyError for a name that has no row.

    Source: own bookkeeping; the row carries its own.

    >>> find(name="cast_runout_mm").high
    3.0
    """
    return _BY_NAME[name]
