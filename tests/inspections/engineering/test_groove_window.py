"""The groove window against brute force: each cut judged by itself, depth by depth."""

from dataclasses import replace
from math import radians

import pytest

from inspections.engineering import criteria, cut, discard, pressure, suspension
from inspections.engineering import rope as ropes
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import KnownForm
from inspections.engineering.groove_window import (
    Cut,
    Deflector,
    Demand,
    Grid,
    Metal,
    WindowGiven,
    find_window,
    usual_grid,
)
from inspections.engineering.groove_window.grid import groove_of
from inspections.engineering.rim import GrooveMetal, RimMetal
from inspections.engineering.tensions import rope_forces_n
from inspections.engineering.traction.rules import EN_81_50
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wrap import wrap_from_geometry

HUNG = replace(EXAMPLE_MACHINE, sheave_diameter_mm=600.0)
GIVEN = WindowGiven(
    suspension=HUNG,
    rules=EN_81_50,
    margin=0.03,
    deepest_mm=1.0,
    seat_radius_mm=6.9,
    bottom_clearance_mm=4.0,
    hardened_depth_mm=2.5,
    to_depth_mm=2.0,
    breaking_force_n=74_280.0,
    pulley_diameters_mm=(500.0,),
    factor_floor=12.0,
    least_ratio=40.0,
    metal=Metal(underside_mm=26.5, minimum_mm=12.0),
)
GRID = Grid(
    mouth_angles_deg=(25.0, 30.0, 40.0),
    undercut_angles_deg=tuple(70.0 + 3.0 * step for step in range(13)),
    vee_angles_deg=(35.0, 38.0, 42.0, 48.0),
    cut_depths_mm=(0.5, 1.5, 3.0),
)


def holds_by_force(given: WindowGiven, one: Cut) -> bool:
    """Judge one cut with the functions that judge machines, at many depths."""
    try:
        groove = groove_of(given=given, cut=one)
    except OutsideValidity:
        return False
    diameter_mm = given.suspension.sheave_diameter_mm
    diameter_mm -= 2.0 * (given.deepest_mm + one.cut_depth_mm)
    hung = replace(given.suspension, sheave_diameter_mm=diameter_mm)
    if given.deflector is not None:
        hung = replace(
            hung,
            wrap=wrap_from_geometry(
                sheave_diameter_mm=diameter_mm,
                pulley_diameter_mm=given.deflector.diameter_mm,
                offset_x_mm=given.deflector.offset_x_mm,
                drop_h_mm=given.deflector.drop_h_mm,
                double=False,
            ),
        )
    end_mm = given.to_depth_mm
    if one.form is KnownForm.V and given.hardened_depth_mm <= end_mm:
        return False
    bottom_mm = groove.bottoming_mm(rope_radius_mm=hung.rope_diameter_mm / 2.0)
    if bottom_mm is not None and bottom_mm - 0.5 < end_mm:
        return False
    for step in range(17):
        found = suspension.assess_groove(
            suspension=hung,
            groove=groove,
            seat_depths_mm=(end_mm * step / 16,),
            seat_depth_sd_mm=0.0,
            rules=given.rules,
        )
        for case in found.cases:
            margins = [case.margin]
            if case.bedded_margin is not None:
                margins.append(case.bedded_margin)
            if min(margins) < given.margin:
                return False
    force_n, _ = rope_forces_n(
        suspension=hung,
        car_load_kg=hung.rated_load_kg,
        car_height_m=0.0,
        acceleration_m_s2=0.0,
    )
    pressed = pressure.groove_pressure(
        groove=groove,
        seat_depth_mm=0.0,
        rope_force_n=force_n / hung.rope_count,
        rope_diameter_mm=hung.rope_diameter_mm,
        sheave_diameter_mm=diameter_mm,
        rope_speed_m_s=hung.rope_speed_m_s,
    )
    return (
        pressed.margin >= 0.0
        and strong_by_force(given, groove, hung, force_n)
        and diameter_mm / hung.rope_diameter_mm >= given.least_ratio
    )


def strong_by_force(given, groove, hung, force_n) -> bool:
    number = ropes.equivalent_pulleys(
        sheave_equivalent=groove.equivalent_pulleys(
            edition=ropes.Edition.EN_81_50_2014
        ),
        sheave_diameter_mm=hung.sheave_diameter_mm,
        pulley_diameters_mm=given.pulley_diameters_mm,
    ).total
    verdict = discard.judge_safety_factor(
        actual=5 * given.breaking_force_n / force_n,
        ropes=5,
        criteria_set=criteria.find(code="EN_81_20"),
        diameter_ratio=hung.sheave_diameter_mm / hung.rope_diameter_mm,
        equivalent_pulleys=number,
    )
    return verdict.margin >= 0.0


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"margin": 0.0, "hardened_depth_mm": 0.0},
        {"deflector": Deflector(diameter_mm=500.0, offset_x_mm=300.0, drop_h_mm=900.0)},
        {"breaking_force_n": 66_000.0},
    ],
    ids=["as it is", "soft", "with a deflector", "weak ropes"],
)
def test_the_window_is_that_of_brute_force_over_every_cut(changed):
    given = replace(GIVEN, metal=None, **changed)

    found = find_window(given=given, grid=GRID)

    own = {each.cut for each in found.judged if each.holds}
    forced = {each.cut for each in found.judged if holds_by_force(given, each.cut)}
    assert len(found.judged) == GRID.number
    assert own == forced
    assert {each.form for each in own}, "an empty window proves nothing here"


def test_the_rim_keeps_what_a_planned_cut_says_it_keeps():
    metal_mm, clearance_mm = 16.0, GIVEN.bottom_clearance_mm
    planned = cut.plan(
        sheave=cut.SheaveToCut(
            form=KnownForm.UNDERCUT,
            pitch_diameter_new_mm=600.0,
            pitch_diameter_turned_mm=600.0,
            hardened_depth_mm=0.0,
        ),
        seats=(cut.SeatAt(groove=1, depth_mm=1.0),),
        rim=RimMetal(
            grooves=(
                GrooveMetal(
                    number=1,
                    axial_mm=20.0,
                    nominal_mm=metal_mm,
                    sd_mm=0.0,
                    worst_mm=metal_mm,
                    probability_below_minimum=None,
                    over_bolts=False,
                    reason=None,
                ),
            ),
            thinnest=1,
            minimum_mm=12.0,
            missing=(),
            cautions=(),
        ),
        clean_up_mm=1.5,
        rope_diameter_mm=13.0,
        proof=cut.Proof(),
        criteria_set=criteria.find(code="EN_81_20"),
    )
    underside_mm = metal_mm + 6.5 + clearance_mm
    given = replace(GIVEN, metal=Metal(underside_mm=underside_mm, minimum_mm=12.0))

    found = find_window(given=given, grid=GRID)

    same = next(
        each
        for each in found.judged
        if each.cut.form is KnownForm.UNDERCUT and each.cut.cut_depth_mm == 1.5
    )
    spare_mm = planned.grooves[0].metal_worst_mm - 12.0
    assert same.slack[Demand.RIM] * 10.0 == pytest.approx(spare_mm)


def test_the_middle_keeps_most_of_what_it_keeps_least_of():
    found = find_window(given=GIVEN, grid=GRID)

    best = max(each.least for each in found.inside)
    assert found.middle in found.inside
    assert found.middle.least == best
    assert found.conflicts == ()


def test_an_empty_window_names_two_demands_that_exclude_each_other():
    # So little hangs on the other side that only a steep groove holds, and so steep a
    # one lets nothing slip.
    hung = replace(HUNG, car_mass_kg=500.0, travel_m=90.0)
    given = replace(
        GIVEN,
        suspension=hung,
        margin=0.0,
        metal=None,
        breaking_force_n=None,
        limit_pressure=False,
    )

    found = find_window(given=given, grid=GRID)

    assert found.middle is None
    assert found.conflicts
    for conflict in found.conflicts:
        assert len(conflict.demands) <= 2
        for name in conflict.demands:
            alone = any(each.slack.get(name, -1.0) >= 0.0 for each in found.judged)
            assert alone == (len(conflict.demands) > 1)
        assert not any(
            all(each.slack.get(name, -1.0) >= 0.0 for name in conflict.demands)
            for each in found.judged
        )


def test_a_finer_grid_finds_the_same_cuts():
    fine = replace(GRID, undercut_angles_deg=tuple(70.0 + step for step in range(37)))

    coarse, finer = (find_window(given=GIVEN, grid=each) for each in (GRID, fine))

    shared = {each.cut for each in coarse.judged}
    inside = {each.cut for each in finer.inside}
    assert {each.cut for each in coarse.inside} == inside & shared


def test_a_deeper_cut_never_helps_rim_or_diameter():
    found = find_window(given=GIVEN, grid=GRID)

    by_shape = {}
    for each in found.judged:
        own = replace(each.cut, cut_depth_mm=0.0)
        before = by_shape.get(own)
        for name in (Demand.RIM, Demand.DIAMETER_RATIO):
            if before and name in each.slack:
                assert each.slack[name] < before.slack[name]
        by_shape[own] = each


def test_the_usual_grid_has_some_two_thousand_cuts():
    grid = usual_grid()

    assert 2000 <= grid.number <= 2500
    assert len({*grid.shapes()}) * len(grid.cut_depths_mm) == grid.number


def test_angles_are_those_that_were_asked_for():
    given = replace(GIVEN, vee_slot_depth_mm=3.0, vee_bottom_width_mm=6.0)

    groove = groove_of(
        given=given,
        cut=Cut(
            form=KnownForm.V,
            groove_angle_deg=38.0,
            undercut_angle_deg=0.0,
            cut_depth_mm=1.0,
        ),
    )

    assert groove.groove_angle_rad == pytest.approx(radians(38.0))
    assert (groove.bottom_width_mm, groove.slot_depth_mm) == (6.0, 3.0)
