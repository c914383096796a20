"""What several seats of a machine share changes no digit of what is said of one."""

from dataclasses import replace
from math import cos, radians, sin
from random import Random

import pytest

from inspections.engineering.answer import Axis
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import (
    RoundGroove,
    UndercutGroove,
    VGroove,
    contact_at,
)
from inspections.engineering.groove.contact import arcs_at
from inspections.engineering.seat_depth.lie import SETTLING_STEPS, crown_drops
from inspections.engineering.suspension import (
    FactorCurves,
    assess_groove,
    load_cases,
)
from inspections.engineering.traction import EN_81_50, worn_factor_ratio
from inspections.engineering.traction.curve import FactorCurve
from inspections.engineering.traction.friction import contact_integrals
from inspections.engineering.traction_answer import (
    AskedFriction,
    GrooveCorners,
    answer_traction,
)

HUNG = replace(EXAMPLE_MACHINE, rope_diameter_mm=13.0)
GROOVES = {
    "undercut": UndercutGroove(
        seat_radius_mm=6.9,
        undercut_angle_rad=radians(95),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=3.0,
    ),
    "tapered": UndercutGroove(
        seat_radius_mm=6.7,
        undercut_angle_rad=radians(95),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=None,
        slot_taper_rad=radians(4),
    ),
    "vee": VGroove(groove_angle_rad=radians(38), hardened_depth_mm=3.0),
    "round": RoundGroove(seat_radius_mm=6.8, mouth_angle_rad=radians(30)),
}
DEPTHS_MM = (0.0, 0.4, 0.9, 1.7, 2.9, 3.4)


def axes(depth_mm):
    """Return masses, angles and a seat, each between two ends."""
    return (
        Axis(name="car_mass_kg", low=1080.0, typical=1200.0, high=1320.0),
        Axis(name="balance_ratio", low=0.41, typical=0.45, high=0.49),
        Axis(name="wrap_angle_rad", low=2.8, typical=2.88, high=2.95),
        Axis(name="mouth_angle_rad", low=0.5, typical=0.52, high=0.55),
        Axis(name="undercut_angle_rad", low=1.6, typical=1.66, high=1.7),
        Axis(name="groove_angle_rad", low=0.63, typical=0.66, high=0.7),
        Axis(
            name="seat_depth_mm",
            low=max(depth_mm - 0.2, 0.0),
            typical=depth_mm,
            high=depth_mm + 0.2,
        ),
    )


@pytest.mark.parametrize("name", GROOVES)
def test_answers_of_seats_that_share_their_corners_are_those_of_each_alone(name):
    groove = GROOVES[name]
    asked = AskedFriction(suspension=HUNG, rules=EN_81_50, axes=axes(0.0))
    corners = GrooveCorners(groove=groove, rope_diameter_mm=13.0)

    for depth_mm in DEPTHS_MM:
        own = {
            "suspension": HUNG,
            "groove": groove,
            "seat_depths_mm": (depth_mm,),
            "rules": EN_81_50,
            "axes": axes(depth_mm),
        }
        alone = answer_traction(**own)

        assert answer_traction(**own, asked=asked, corners=corners) == alone


@pytest.mark.parametrize("name", GROOVES)
def test_grooves_that_share_curves_and_tensions_are_judged_as_each_alone(name):
    curves = FactorCurves()
    tensions = load_cases(suspension=HUNG, rules=EN_81_50)

    for depth_mm in DEPTHS_MM:
        own = {
            "suspension": HUNG,
            "groove": GROOVES[name],
            "seat_depths_mm": (depth_mm,),
            "seat_depth_sd_mm": 0.1,
            "rules": EN_81_50,
        }

        found = assess_groove(**own, curves=curves, tensions=tensions)
        assert found == assess_groove(**own)


@pytest.mark.parametrize("name", GROOVES)
def test_a_curve_gives_the_factor_of_the_arcs_and_both_flanks_the_same(name):
    groove, random = GROOVES[name], Random(1)
    curve = FactorCurve(groove=groove, rope_diameter_mm=13.0)

    for depth_mm in (random.uniform(0.0, 5.0) for _ in range(200)):
        own = {"groove": groove, "rope_diameter_mm": 13.0, "seat_depth_mm": depth_mm}
        arcs = arcs_at(**own)
        capacity = bearing = 0.0
        for low, high in arcs:
            half, middle = (high - low) / 2.0, (high + low) / 2.0
            capacity += 2.0 * cos(middle) * sin(half)
            bearing += half + cos(2.0 * middle) * sin(2.0 * half) / 2.0

        assert arcs == contact_at(**own).arcs_rad
        assert contact_integrals(arcs_rad=arcs) == (capacity, bearing)
        assert curve.ratio(depth_mm=depth_mm) == worn_factor_ratio(**own)


@pytest.mark.parametrize("name", GROOVES)
@pytest.mark.parametrize("loss_mm", [-0.1, 0.0, 0.15, 0.4])
def test_a_rope_that_has_settled_lies_as_after_all_steps(name, loss_mm):
    groove = GROOVES[name]
    edge = 1.0 + 1.0 / groove.rise_ratio(on_edges=False)
    for _ in range(SETTLING_STEPS):
        contact = contact_at(
            groove=groove,
            rope_diameter_mm=12.9,
            seat_depth_mm=max(1.6 - edge * loss_mm, 0.0),
        )
        edge = 1.0 + 1.0 / cos(contact.effective_undercut_rad / 2.0)

    _, found = crown_drops(
        groove=groove, drop_mm=1.6, radius_loss_mm=loss_mm, rope_diameter_mm=12.9
    )

    assert found == edge
