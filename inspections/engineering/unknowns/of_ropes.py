"""What is often not known of ropes and of their pulleys."""

from inspections.engineering.source import Certainty, Source
from inspections.engineering.unknowns.unknown import Unknown

_PRACTICE = Source(document="practice", certainty=Certainty.COMMON_PRACTICE)
_FEYRER = Source(
    document="K. Feyrer, Wire Ropes",
    edition="2015",
    clause="table 1.9",
    certainty=Certainty.CONFIRMED,
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
_RATIO = Source(
    document="EN 81-20",
    edition="2014",
    clause="5.5.2.1, D/d 40 or more; the range is practice",
    certainty=Certainty.FROM_MEMORY,
)

PULLEYS = "pulleys"

OF_ROPES: tuple[Unknown, ...] = (
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
        name="pitch_diameter_mm",
        words="pitch diameter of the drive sheave against the rope",
        low=40.0,
        typical=43.0,
        high=50.0,
        unit="-",
        of="rope_diameter_mm",
        source=_RATIO,
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
)
