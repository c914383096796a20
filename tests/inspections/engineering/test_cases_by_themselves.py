"""Each load case by itself: none hides another."""

from dataclasses import replace
from math import radians

import pytest

from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import UndercutGroove, VGroove
from inspections.engineering.suspension import (
    CaseStanding,
    LimitOutcome,
    LimitReason,
    RegisterSpread,
    assess_groove,
    depth_limits,
    limits_by_themselves,
)
from inspections.engineering.traction import EN_81_50

V35 = VGroove(groove_angle_rad=radians(35), bottom_width_mm=3.0)


def standings(machine, groove, depth_mm):
    found = assess_groove(
        suspension=machine,
        groove=groove,
        seat_depths_mm=(depth_mm,),
        seat_depth_sd_mm=0.1,
        rules=EN_81_50,
    )
    return {case.case.value: case.standing for case in found.cases}


@pytest.mark.parametrize("travel_m", [30.0, 100.0])
def test_stalled_failure_does_not_hide_a_worn_out_groove(travel_m):
    """V of 35° worn by 6 mm: stalled fails at 100 m even new, braking is worn out."""
    machine = replace(EXAMPLE_MACHINE, travel_m=travel_m)

    found = standings(machine, V35, 6.0)

    assert found["BRAKING_EMPTY"] is CaseStanding.WORN_OUT
    if travel_m == 100.0:
        assert found["STALLED_COUNTERWEIGHT"] is CaseStanding.NOT_AS_NEW


def test_limits_of_the_other_cases_and_of_the_bottom_are_kept():
    machine = replace(EXAMPLE_MACHINE, travel_m=100.0)

    limits = depth_limits(
        suspension=machine,
        groove=V35,
        seat_depths_mm=(0.0,),
        rules=EN_81_50,
        spread=RegisterSpread(),
    )

    assert any(
        each.outcome is LimitOutcome.DOES_NOT_CLOSE_AS_NEW
        and each.reason is LimitReason.STALLED_COUNTERWEIGHT
        for each in limits
    )
    kept = limits_by_themselves(limits=limits)
    reasons = [each.reason for each in kept]
    assert LimitReason.BOTTOMING in reasons
    assert LimitReason.BRAKING_EMPTY in reasons
    depths = [each.depth_mm for each in kept]
    assert depths == sorted(depths)


def test_stalled_that_fails_only_once_the_rope_has_bedded_in_says_so():
    seat = UndercutGroove(
        seat_radius_mm=6.9,
        undercut_angle_rad=radians(95),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=3.0,
    )

    found = [
        standings(replace(EXAMPLE_MACHINE, travel_m=travel_m), seat, 0.5)
        for travel_m in range(60, 140, 2)
    ]

    stalled = [each["STALLED_COUNTERWEIGHT"] for each in found]
    assert CaseStanding.CLOSES in stalled
    assert CaseStanding.ONLY_BEDDED_FAILS in stalled
    assert CaseStanding.NOT_AS_NEW in stalled


def test_drive_that_stalls_is_accepted_otherwise():
    machine = replace(EXAMPLE_MACHINE, travel_m=100.0, drive_stalls=True)

    found = standings(machine, V35, 0.5)

    assert found["STALLED_CAR"] is CaseStanding.ACCEPTED_OTHERWISE
    assert found["LOADING"] is CaseStanding.CLOSES


def test_renewed_seat_is_stalled_with_what_it_holds_once_bedded_in():
    """A mouth lets the friction of a new seat rise: the cut is judged by that."""
    seat = UndercutGroove(
        seat_radius_mm=6.5,
        undercut_angle_rad=radians(95),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=3.0,
    )

    def cases(depth_mm):
        found = assess_groove(
            suspension=replace(EXAMPLE_MACHINE, travel_m=70.0),
            groove=seat,
            seat_depths_mm=(depth_mm,),
            seat_depth_sd_mm=0.1,
            rules=EN_81_50,
        )
        return {case.case.value: case for case in found.cases}

    new, worn = cases(0.0), cases(2.0)

    stalled = new["STALLED_COUNTERWEIGHT"]
    assert stalled.renewed_margin < stalled.as_new_margin
    assert stalled.renewed_margin == worn["STALLED_COUNTERWEIGHT"].margin
    assert new["LOADING"].renewed_margin == new["LOADING"].as_new_margin
