"""What is often not known of grooves and rim."""

from math import radians

from inspections.engineering.source import Certainty, Source
from inspections.engineering.unknowns.unknown import Unknown

_PRACTICE = Source(document="practice", certainty=Certainty.COMMON_PRACTICE)
_MEMORY = Source(document="trade practice", certainty=Certainty.FROM_MEMORY)
_FEYRER_SEAT = Source(
    document="K. Feyrer, Wire Ropes",
    edition="2015",
    clause="table 3.15, 0.53 d as reference; the range is practice",
    certainty=Certainty.COMMON_PRACTICE,
)
_EN_81_50 = Source(
    document="EN 81-50",
    edition="2014",
    clause="5.11.2.2.1, mouth not below 25°; the upper end is practice",
    certainty=Certainty.FROM_MEMORY,
)
_EN_81_50_V = Source(
    document="EN 81-50",
    edition="2014",
    clause="5.11.2.2.1, V not below 35°; the upper end is practice",
    certainty=Certainty.FROM_MEMORY,
)

SLOT = "groove_section"

OF_GROOVES: tuple[Unknown, ...] = (
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
    Unknown(
        name="groove_angle_rad",
        words="angle of a V",
        low=radians(35.0),
        typical=radians(38.0),
        high=radians(45.0),
        unit="rad",
        group=SLOT,
        source=_EN_81_50_V,
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
