"""Ends of traction against random values of everything that is not known."""

from dataclasses import replace
from math import radians
from random import Random

import pytest

from inspections.engineering.answer import Answer, Axis
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.suspension import assess_groove
from inspections.engineering.traction.rules import (
    EN_81_1_1985,
    EN_81_50,
    braking_harder,
)
from inspections.engineering.traction_answer import answer_traction
from inspections.engineering.wrap import WrapAngles

V38 = VGroove(groove_angle_rad=radians(38), bottom_width_mm=4.0)
UNDERCUT = UndercutGroove(
    seat_radius_mm=6.9,
    undercut_angle_rad=radians(95),
    mouth_angle_rad=radians(30),
    bottom_clearance_mm=2.5,
)
ROUND = RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=radians(30))


def axis(name, low, typical, high):
    return Axis(name=name, low=low, typical=typical, high=high)


MASSES = (
    axis("car_mass_kg", 900.0, 1200.0, 1500.0),
    axis("balance_ratio", 0.4, 0.45, 0.5),
    axis("wrap_angle_rad", radians(155), radians(165), radians(180)),
)
CASES = {
    "V with its flat": (
        V38,
        2.0,
        (
            *MASSES,
            axis("bottom_width_mm", 0.0, 4.0, 7.0),
            axis("groove_angle_rad", radians(37), radians(38), radians(39)),
            axis("seat_depth_mm", 1.6, 2.0, 2.4),
        ),
    ),
    "V of a car with no plate": (
        V38,
        2.0,
        (
            *MASSES,
            axis("rated_load_kg", 600.0, 1000.0, 1500.0),
            axis("rated_speed_m_s", 0.4, 1.6, 2.5),
            axis("travel_m", 3.0, 30.0, 100.0),
            axis("braking_deceleration_m_s2", 0.5, 0.5, 1.0),
        ),
    ),
    "undercut of which nobody knows how hard it brakes": (
        UNDERCUT,
        1.0,
        (
            axis("car_mass_kg", 900.0, 1200.0, 1500.0),
            axis("braking_deceleration_m_s2", 0.5, 0.5, 1.0),
            axis("seat_depth_mm", 0.6, 1.0, 1.4),
        ),
    ),
    "V near its bottom": (
        V38,
        6.5,
        (axis("seat_depth_mm", 5.5, 6.5, 7.5), axis("bottom_width_mm", 3.0, 4.0, 5.0)),
    ),
    "undercut": (
        UNDERCUT,
        1.0,
        (
            *MASSES,
            axis("mouth_angle_rad", radians(25), radians(30), radians(45)),
            axis("undercut_angle_rad", radians(90), radians(95), radians(100)),
            axis("bottom_clearance_mm", 1.5, 2.5, 3.5),
            axis("seat_depth_mm", 0.6, 1.0, 1.4),
        ),
    ),
    "undercut near its bottom": (
        UNDERCUT,
        2.3,
        (
            axis("bottom_clearance_mm", 2.0, 2.5, 3.0),
            axis("seat_depth_mm", 1.9, 2.3, 2.7),
        ),
    ),
    # Here a wider slot holds more, then less.
    "undercut at its bottom, of any angle": (
        UNDERCUT,
        2.8,
        (
            axis("undercut_angle_rad", radians(74), radians(95), radians(106)),
            axis("seat_depth_mm", 2.4, 2.8, 3.2),
        ),
    ),
    "new undercut that still beds in": (
        UNDERCUT,
        0.3,
        (
            axis("mouth_angle_rad", radians(25), radians(30), radians(45)),
            axis("seat_depth_mm", 0.0, 0.3, 1.4),
        ),
    ),
    "round": (
        ROUND,
        0.5,
        (
            *MASSES,
            axis("mouth_angle_rad", radians(25), radians(30), radians(45)),
            axis("seat_depth_mm", 0.1, 0.5, 0.9),
        ),
    ),
}
GROOVE_FIELDS = {"mouth_angle_rad", "groove_angle_rad", "undercut_angle_rad"}
GROOVE_FIELDS |= {"bottom_width_mm", "bottom_clearance_mm"}


def direct(suspension, groove, depth_mm, rules, at):
    """Margins by the ordinary assessment of one machine. No shared code but that."""
    values = dict(at)
    depth_mm = values.pop("seat_depth_mm", depth_mm)
    wrap = values.pop("wrap_angle_rad", None)
    if wrap is not None:
        suspension = replace(suspension, wrap=WrapAngles(angles_rad=(wrap,)))
    braking = values.pop("braking_deceleration_m_s2", 0.0)
    on_groove = {n: values.pop(n) for n in set(values) & GROOVE_FIELDS}
    found = assess_groove(
        suspension=replace(suspension, **values),
        groove=replace(groove, **on_groove),
        seat_depths_mm=(depth_mm,),
        seat_depth_sd_mm=0.0,
        rules=braking_harder(rules=rules, retardation_m_s2=braking),
    )
    margins = {case.case.value: case.margin for case in found.cases}
    margins |= {
        f"{case.case.value}_BEDDED": case.bedded_margin
        for case in found.cases
        if case.bedded_margin is not None
    }
    return margins


def drawn(random, axes):
    """A random place; now and then an unknown at one of its ends."""
    return {
        a.name: random.choice((a.low, a.high))
        if random.random() < 0.2
        else random.uniform(a.low, a.high)
        for a in axes
    }


@pytest.mark.parametrize("name", CASES)
def test_random_values_never_leave_the_ends_which_are_reached(name):
    groove, depth_mm, axes = CASES[name]
    random = Random(name)

    found = answer_traction(
        suspension=EXAMPLE_MACHINE,
        groove=groove,
        seat_depths_mm=(depth_mm,),
        rules=EN_81_50,
        axes=axes,
    )

    for _ in range(1_700):
        margins = direct(
            EXAMPLE_MACHINE, groove, depth_mm, EN_81_50, drawn(random, axes)
        )
        for case in found.cases:
            # Friction dips by less than this between the places looked at.
            slack = 2e-3 * (1.0 + abs(case.worst_margin))
            assert margins[case.criterion] >= case.worst_margin - slack
            assert margins[case.criterion] <= case.best_margin + slack
    for case in found.cases:
        for margin, place in (
            (case.worst_margin, case.worst_at),
            (case.best_margin, case.best_at),
        ):
            reached = direct(EXAMPLE_MACHINE, groove, depth_mm, EN_81_50, place)
            assert reached[case.criterion] == pytest.approx(margin, abs=1e-9)


@pytest.mark.parametrize(
    "seed",
    [*range(4), *(pytest.param(n, marks=pytest.mark.long) for n in range(4, 16))],
)
def test_random_machines_keep_their_ends(seed):
    random = Random(seed)
    roping = random.choice((1, 2))
    suspension = replace(
        EXAMPLE_MACHINE,
        roping=roping,
        travel_m=random.choice((12.0, 30.0, 100.0)),
        car_mass_kg=random.uniform(600.0, 2000.0),
        balance_ratio=None,
        counterweight_mass_kg=random.uniform(900.0, 2600.0),
        compensation_kg_per_m=random.choice((0.0, 2.0)),
    )
    groove, depth_mm, axes = CASES[random.choice(tuple(CASES))]
    axes = (
        axis("car_mass_kg", 500.0, suspension.car_mass_kg, 2500.0),
        axis("counterweight_mass_kg", 800.0, suspension.balancing_mass_kg, 2800.0),
        axis("compensation_kg_per_m", 0.0, suspension.compensation_kg_per_m, 4.0),
        *(a for a in axes if a.name not in ("car_mass_kg", "balance_ratio")),
    )
    rules = random.choice((EN_81_50, EN_81_1_1985))

    found = answer_traction(
        suspension=suspension,
        groove=groove,
        seat_depths_mm=(depth_mm,),
        rules=rules,
        axes=axes,
    )

    for _ in range(250):
        margins = direct(suspension, groove, depth_mm, rules, drawn(random, axes))
        for case in found.cases:
            slack = 2e-3 * (1.0 + abs(case.worst_margin))
            assert margins[case.criterion] >= case.worst_margin - slack
            assert margins[case.criterion] <= case.best_margin + slack


def test_nothing_unknown_gives_the_ordinary_margins_and_no_open_answer():
    found = answer_traction(
        suspension=EXAMPLE_MACHINE,
        groove=UNDERCUT,
        seat_depths_mm=(0.5,),
        rules=EN_81_50,
        axes=(),
    )

    margins = direct(EXAMPLE_MACHINE, UNDERCUT, 0.5, EN_81_50, {})
    assert {c.criterion: c.typical_margin for c in found.cases} == pytest.approx(
        margins
    )
    assert Answer.OPEN not in {case.answer for case in found.cases}


def test_missing_mouth_angle_does_not_become_a_parallel_mouth():
    """At 0 degrees the worn seat closes; over what a mouth usually is it may not."""
    weak = replace(EXAMPLE_MACHINE, wrap=WrapAngles(angles_rad=(radians(153),)))
    parallel = replace(UNDERCUT, mouth_angle_rad=0.0)
    mouth = axis("mouth_angle_rad", radians(25), radians(30), radians(45))

    taken_as_parallel = direct(weak, parallel, 0.0, EN_81_50, {})
    found = answer_traction(
        suspension=weak,
        groove=UNDERCUT,
        seat_depths_mm=(0.0,),
        rules=EN_81_50,
        axes=(mouth,),
    )

    braking = {c.criterion: c for c in found.cases}["BRAKING_EMPTY"]
    assert taken_as_parallel["BRAKING_EMPTY"] > 0.0
    assert braking.answer is not Answer.WITHIN
    assert braking.decides_most == "mouth_angle_rad"


def test_loading_and_stalled_open_alone_can_be_beyond_together():
    """Friction enough to hold is friction enough not to slip: no angle does both."""
    machine = replace(
        EXAMPLE_MACHINE, travel_m=100.0, compensation_kg_per_m=0.0, car_mass_kg=700.0
    )
    angle = axis("groove_angle_rad", radians(35), radians(45), radians(90))

    found = answer_traction(
        suspension=machine,
        groove=VGroove(groove_angle_rad=radians(45)),
        seat_depths_mm=(0.0,),
        rules=EN_81_50,
        axes=(angle,),
    )

    singles = {case.answer for case in found.cases}
    assert Answer.OPEN in singles
    assert Answer.BEYOND not in singles
    assert found.joint.answer is Answer.BEYOND


def test_drive_that_stalls_by_itself_does_not_have_to_let_the_ropes_slip():
    machine = replace(EXAMPLE_MACHINE, travel_m=100.0, drive_stalls=True)

    found = answer_traction(
        suspension=machine,
        groove=VGroove(groove_angle_rad=radians(35)),
        seat_depths_mm=(0.0,),
        rules=EN_81_50,
        axes=(),
    )

    stalled = {c.criterion: c.answer for c in found.cases}["STALLED_COUNTERWEIGHT"]
    assert stalled is Answer.BEYOND
    assert found.joint.answer is Answer.WITHIN
