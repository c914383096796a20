"""Invented machines to decide about."""

from dataclasses import replace
from datetime import date
from math import radians

from inspections.decisions.records import (
    AheadLimit,
    BoughtPart,
    CaseMargin,
    LeadTimes,
    MachineFacts,
    OpenFinding,
    OptionKind,
    Rates,
    exactly,
)
from inspections.decisions.records.rates import Estimate
from inspections.engineering import criteria
from inspections.engineering.cut import KnownForm, Proof, SeatAt, SheaveToCut
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import UndercutGroove
from inspections.engineering.limit import Stage
from inspections.engineering.rim import GrooveMetal, RimMetal, probability_below
from inspections.engineering.traction import EN_81_50, LoadCase
from inspections.engineering.verdict import Outcome, Verdict
from inspections.reasons import Grade, note

AS_OF = date(2026, 1, 1)

RATES = Rates(
    currency="EUR",
    hourly=exactly(100.0),
    hours={kind: exactly(10.0) for kind in OptionKind},
    rope_per_m=exactly(10.0),
    parts={
        BoughtPart.RIM: exactly(4000.0),
        BoughtPart.SHEAVE: exactly(6000.0),
        BoughtPart.LUBRICANT: exactly(50.0),
    },
    hoisting=Estimate(low=1000.0, mid=1500.0, high=3000.0),
    day_out=exactly(100.0),
    shop={
        OptionKind.REGROOVE_IN_PLACE: exactly(2500.0),
        OptionKind.REGROOVE_IN_SHOP: exactly(1800.0),
    },
)
LEADS = LeadTimes(
    parts_days={
        BoughtPart.ROPE_SET: 42,
        BoughtPart.RIM: 120,
        BoughtPart.SHEAVE: 140,
        BoughtPart.LUBRICANT: 3,
    },
    shop_days={OptionKind.REGROOVE_IN_PLACE: 30, OptionKind.REGROOVE_IN_SHOP: 60},
    access_days=14,
)
HARD_ENOUGH = Verdict(
    criterion="rim_hardness_least",
    outcome=Outcome.NOT_MET,
    value=210.0,
    limit=180.0,
    margin=30.0,
    unit="HB",
    stage=Stage.LIMIT,
    source=None,
    reason=note("hard enough"),
)


def rim(*metal_mm, minimum_mm=18.0, sd_mm=0.5, worst_below_mm=1.5):
    """Return a rim with some nominal metal under each groove."""
    grooves = tuple(
        GrooveMetal(
            number=number,
            axial_mm=20.0 * number,
            nominal_mm=nominal,
            sd_mm=sd_mm,
            worst_mm=nominal - worst_below_mm,
            probability_below_minimum=probability_below(
                nominal_mm=nominal, sd_mm=sd_mm, minimum_mm=minimum_mm
            ),
            over_bolts=False,
            reason="",
        )
        for number, nominal in enumerate(metal_mm, start=1)
    )
    thinnest = min(grooves, key=lambda each: each.worst_mm).number
    return RimMetal(
        grooves=grooves,
        thinnest=thinnest,
        minimum_mm=minimum_mm,
        missing=(),
        cautions=(),
    )


def seats(*depths_mm, sd_mm=0.05):
    return tuple(
        SeatAt(groove=number, depth_mm=depth, sd_mm=sd_mm)
        for number, depth in enumerate(depths_mm, start=1)
    )


def margins(now=0.15, as_new=0.25):
    return tuple(CaseMargin(case=case, now=now, as_new=as_new) for case in LoadCase)


def ahead(
    quantity="seat_depth",
    place="groove 1",
    *,
    plan=date(2031, 1, 1),
    p50=date(2034, 1, 1),
    p90=date(2038, 1, 1),
    **rest,
):
    given = {
        "wear_class": "seat depth, undercut",
        "level": 0.8,
        "limit": 2.0,
        "rate_per_year": 0.15,
        "last_on": AS_OF,
        "p02_on": plan,
        "p10_on": plan and plan + (p50 - plan) / 3,
        "p50_on": p50,
        "p90_on": p90,
        "plan_before_on": plan,
        "chance_already": 0.0,
    }
    return AheadLimit(quantity=quantity, place=place, safety=True, **(given | rest))


def finding(topic, grade=Grade.PLAN_WORK, *, place="", stop=False, **rest):
    return OpenFinding(
        key=f"{topic}/{place}", topic=topic, grade=grade, place=place, stop=stop, **rest
    )


SOUND = MachineFacts(
    machine_key=1,
    criteria_set=criteria.find(code="EN_81_20"),
    rope_diameter_mm=13.0,
    rope_count=5,
    rope_length_m=80.0,
    sheave=SheaveToCut(
        form=KnownForm.UNDERCUT,
        pitch_diameter_new_mm=600.0,
        pitch_diameter_turned_mm=600.0,
        hardened_depth_mm=0.0,
    ),
    seats=seats(0.8, 0.8, 0.9, 0.8, 0.7),
    rim=rim(30.0, 29.5, 29.0, 28.5, 28.0),
    proof=Proof(minimum_diameter_mm=560.0, crack_free=True, hardness=(HARD_ENOUGH,)),
    suspension=replace(EXAMPLE_MACHINE, sheave_diameter_mm=600.0),
    groove=UndercutGroove(
        seat_radius_mm=6.9,
        undercut_angle_rad=radians(95.0),
        mouth_angle_rad=radians(30.0),
        bottom_clearance_mm=2.5,
        slot_taper_rad=0.0,
        hardened_depth_mm=0.0,
    ),
    traction_rules=EN_81_50,
    margins=margins(),
    new_rope_is_pinched=False,
    feed_is_equal=True,
    rim_is_renewable=False,
    next_visit_on=date(2026, 7, 1),
    ahead=(
        ahead(),
        ahead("diameter_loss", "rope 1", plan=date(2030, 1, 1), limit=0.78),
    ),
)
