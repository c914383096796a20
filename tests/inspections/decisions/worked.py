"""The three invented machines of docs/decisions.md, as records."""

from dataclasses import replace
from datetime import date
from math import radians

from inspections.decisions.records import (
    BoughtPart,
    LeadTimes,
    MachineFacts,
    OptionKind,
    Rates,
    exactly,
)
from inspections.engineering import criteria, rim
from inspections.engineering.cut import KnownForm, Proof, SheaveToCut
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import UndercutGroove
from inspections.engineering.traction import EN_81_50
from inspections.reasons import Grade
from tests.inspections.decisions.machines import HARD_ENOUGH, ahead, finding, seats

AS_OF = date(2026, 3, 2)
RATES = Rates(
    currency="EUR",
    hourly=exactly(90.0),
    hours={
        OptionKind.RE_ROPE: exactly(24.0),
        OptionKind.REGROOVE_IN_PLACE: exactly(40.0),
        OptionKind.REGROOVE_IN_SHOP: exactly(56.0),
        OptionKind.REPLACE_SHEAVE: exactly(60.0),
    },
    rope_per_m=exactly(9.5),
    parts={BoughtPart.SHEAVE: exactly(5200.0)},
    hoisting=exactly(1600.0),
    shop={
        OptionKind.REGROOVE_IN_PLACE: exactly(2400.0),
        OptionKind.REGROOVE_IN_SHOP: exactly(1700.0),
    },
)
LEADS = LeadTimes(
    parts_days={BoughtPart.ROPE_SET: 42, BoughtPart.SHEAVE: 140},
    shop_days={OptionKind.REGROOVE_IN_PLACE: 30, OptionKind.REGROOVE_IN_SHOP: 60},
    access_days=14,
)
AXIAL_MM = (15.0, 37.0, 59.0, 81.0, 103.0)


def metal(*, land_mm, draft_deg, indicator_mm):
    """Return the metal from one calliper reading beside groove 1, at mark A."""
    return rim.metal(
        grooves=tuple(
            rim.GrooveBottom(number=n, axial_mm=x, bottom_depth_mm=28.0, sd_mm=0.1)
            for n, x in enumerate(AXIAL_MM, start=1)
        ),
        readings=(
            rim.ThicknessReading(
                axial_mm=0.0, thickness_mm=land_mm, sd_mm=0.2, angle_rad=0.0
            ),
        ),
        draft=rim.KnownDraft(
            angle_rad=radians(draft_deg), thicker=rim.Thicker.TOWARDS_DATUM
        ),
        runout=rim.CastRunout(indicator_mm=indicator_mm),
        minimum_mm=18.0,
    )


FIRST = MachineFacts(
    machine_key=1,
    criteria_set=criteria.find(code="EN_81_20"),
    rope_diameter_mm=13.0,
    rope_count=5,
    rope_length_m=82.0,
    sheave=SheaveToCut(
        form=KnownForm.UNDERCUT,
        pitch_diameter_new_mm=600.0,
        pitch_diameter_turned_mm=600.0,
        hardened_depth_mm=0.0,
    ),
    seats=seats(1.10, 1.25, 1.40, 1.20, 1.05, sd_mm=0.05),
    rim=metal(land_mm=58.0, draft_deg=1.0, indicator_mm=0.8),
    proof=Proof(minimum_diameter_mm=560.0, crack_free=True, hardness=(HARD_ENOUGH,)),
    suspension=replace(EXAMPLE_MACHINE, sheave_diameter_mm=600.0, drive_stalls=True),
    groove=UndercutGroove(
        seat_radius_mm=6.9,
        undercut_angle_rad=radians(95.0),
        mouth_angle_rad=radians(30.0),
        bottom_clearance_mm=2.5,
    ),
    traction_rules=EN_81_50,
    new_rope_is_pinched=False,
    feed_is_equal=True,
    rim_is_renewable=False,
    ahead=(ahead(place="groove 3", plan=date(2027, 9, 15), p50=date(2029, 9, 15)),),
)
SECOND = replace(
    FIRST,
    machine_key=2,
    rim=metal(land_mm=52.0, draft_deg=1.5, indicator_mm=1.4),
    findings=(finding("traction", Grade.ACT_NOW, place="groove 3", stop=True),),
)
THIRD = replace(
    FIRST,
    machine_key=3,
    findings=(finding("rope diameter", Grade.ACT_NOW, place="rope 2", stop=True),),
    ahead=(
        ahead(
            place="groove 3",
            plan=date(2027, 6, 30),
            p50=date(2027, 10, 1),
            p90=date(2027, 12, 1),
            level=1.4,
            limit=2.0,
            rate_per_year=0.05,
            last_on=AS_OF,
        ),
        ahead(
            "diameter_loss",
            "rope 2",
            plan=AS_OF,
            p50=date(2026, 6, 1),
            p90=date(2026, 9, 1),
            level=0.78,
            limit=0.78,
            rate_per_year=0.02,
            last_on=AS_OF,
        ),
    ),
)
