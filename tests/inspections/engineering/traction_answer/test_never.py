"""Cases that never close together, against random values of what is not known."""

from dataclasses import replace
from math import radians
from random import Random

import pytest

from inspections.engineering import suspension
from inspections.engineering.answer import Answer, Axis
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import VGroove
from inspections.engineering.traction import EN_81_50
from inspections.engineering.traction_answer import answer_traction
from inspections.engineering.wrap import WrapAngles

WORN_MM = 0.8


def axes(*, wrap_to_deg):
    return (
        Axis(name="car_mass_kg", low=1080.0, typical=1200.0, high=1320.0),
        Axis(name="balance_ratio", low=0.41, typical=0.45, high=0.49),
        Axis(
            name="groove_angle_rad",
            low=radians(41.0),
            typical=radians(42.0),
            high=radians(43.0),
        ),
        Axis(name="seat_depth_mm", low=0.7, typical=WORN_MM, high=0.9),
        Axis(
            name="wrap_angle_rad",
            low=radians(135.0),
            typical=radians(150.0),
            high=radians(wrap_to_deg),
        ),
    )


def machine(travel_m):
    return replace(EXAMPLE_MACHINE, travel_m=travel_m, compensation_kg_per_m=0.0)


def answered(travel_m, box):
    return answer_traction(
        suspension=machine(travel_m),
        groove=VGroove(groove_angle_rad=radians(42.0)),
        seat_depths_mm=(WORN_MM,),
        rules=EN_81_50,
        axes=box,
    )


def least_margin(travel_m, at):
    """The least margin by the calculation for one machine that is known throughout."""
    found = suspension.assess_groove(
        suspension=replace(
            machine(travel_m),
            car_mass_kg=at["car_mass_kg"],
            balance_ratio=at["balance_ratio"],
            wrap=WrapAngles(angles_rad=(at["wrap_angle_rad"],)),
        ),
        groove=VGroove(groove_angle_rad=at["groove_angle_rad"]),
        seat_depths_mm=(at["seat_depth_mm"],),
        seat_depth_sd_mm=0.0,
        rules=EN_81_50,
    )
    return min(case.margin for case in found.cases)


@pytest.mark.parametrize("travel_m", [115.0, 120.0])
def test_what_never_closes_together_closes_nowhere_in_the_box(travel_m):
    box = axes(wrap_to_deg=180.0)
    found = answered(travel_m, box)
    singles = {case.answer for case in found.cases}

    assert Answer.BEYOND not in singles
    assert Answer.OPEN in singles
    assert found.joint.answer is Answer.BEYOND
    random = Random(7)
    for _ in range(400):
        at = {axis.name: random.uniform(axis.low, axis.high) for axis in box}
        assert least_margin(travel_m, at) < 0.0


@pytest.mark.parametrize("travel_m", [60.0, 80.0])
def test_what_closes_somewhere_is_not_called_beyond(travel_m):
    box = axes(wrap_to_deg=180.0)
    random = Random(11)
    places = [
        {axis.name: random.uniform(axis.low, axis.high) for axis in box}
        for _ in range(300)
    ]

    assert max(least_margin(travel_m, at) for at in places) >= 0.0
    assert answered(travel_m, box).joint.answer is Answer.OPEN
