"""A groove of which a measure is not registered: answered over what is plausible."""

from dataclasses import replace
from datetime import date

import pytest

from inspections.engineering import unknowns
from inspections.models import Grade
from tests.inspections.assessment.snapshots import (
    ROUND,
    TODAY,
    UNDERCUT,
    V,
    diameters,
    found,
    one,
    snapshot,
    take,
    worn,
)

FIRST = date(2020, 2, 1)
MEASURES = [
    (UNDERCUT, "seat_radius_mm", "seat_radius_mm"),
    (UNDERCUT, "undercut_angle_deg", "undercut_angle_rad"),
    (ROUND, "seat_radius_mm", "seat_radius_mm"),
    (V, "groove_angle_deg", "groove_angle_rad"),
]
OF_A_BOTTOM = [
    *[(whole, name) for whole, name, _ in MEASURES if whole is not ROUND],
    (UNDERCUT, "bottom_clearance_new_mm"),
    (V, "flat_bottom_width_mm"),
    (UNDERCUT, "pitch_diameter_mm"),
]


def bands(width_mm):
    return [
        *diameters(),
        *[
            take("seat_band_width", width_mm, groove=n, flank=flank)
            for n in range(1, 6)
            for flank in ("left", "right")
        ],
    ]


def crowns(sunk_mm):
    return [
        *diameters(on=FIRST),
        *diameters(),
        *[
            take("rope_crown_height", height, groove=n, on=on)
            for n in range(1, 6)
            for height, on in ((3.0, FIRST), (3.0 - sunk_mm, TODAY))
        ],
    ]


@pytest.mark.parametrize(("whole", "name"), OF_A_BOTTOM)
def test_a_clearance_that_was_read_needs_no_register(whole, name):
    of = snapshot(*worn(0.2), geometry=whole | {name: None})

    drafts = found(of, "bottom clearance")
    assert len(drafts) == 5
    assert {(d.grade, d.stops_service) for d in drafts} == {(Grade.ACT_NOW, True)}


def test_a_clearance_that_was_read_needs_no_diameter_of_the_ropes():
    of = snapshot(*[take("bottom_clearance", 0.2, groove=n) for n in range(1, 6)])

    drafts = found(of, "bottom clearance")
    assert {(d.grade, d.stops_service) for d in drafts} == {(Grade.ACT_NOW, True)}
    assert len(drafts) == 5


@pytest.mark.parametrize(("whole", "column", "name"), MEASURES)
def test_traction_is_told_over_the_range_with_its_source(whole, column, name):
    given = bands(1.0) if whole is V else crowns(1.0)
    of = snapshot(*given, geometry=whole | {column: None})

    drafts = [d for d in found(of, "traction") if d.over is not None]
    assert drafts
    for draft in drafts:
        (assumed,) = [each for each in draft.over.unknowns if each.name == name]
        assert assumed.low < assumed.typical < assumed.high
        assert assumed.source == unknowns.find(name=name).source.text
        assert draft.over.worst < draft.over.typical < draft.over.best
        assert "missing: " in str(draft.reason)


def test_the_widest_undercut_there_may_be_is_no_wider_for_being_unsure():
    geometry = UNDERCUT | {"undercut_angle_deg": 106.0}

    for draft in found(snapshot(*crowns(1.0), geometry=geometry), "traction"):
        over = draft.over
        angle = {each.name: each for each in over.unknowns}["undercut_angle_rad"]
        assert angle.low < angle.typical == angle.high
        assert over.worst <= over.typical <= over.best


@pytest.mark.parametrize(("whole", "column", "name"), MEASURES)
def test_a_measure_that_was_taken_away_stays_as_one_end(whole, column, name):
    given = bands(1.0) if whole is V else crowns(1.0)
    of = replace(
        snapshot(*given, geometry=whole | {column: None}),
        once_said={column: 2.0 * whole[column]},
    )

    over = next(d.over for d in found(of, "traction") if d.over is not None)
    (assumed,) = [each for each in over.unknowns if each.name == name]
    row = unknowns.find(name=name)
    scale = 13.0 if row.of else 1.0
    assert assumed.high > scale * row.high


def test_seats_that_differ_are_told_and_equal_ones_are_not_known():
    geometry = UNDERCUT | {"seat_radius_mm": None}

    def told(*clearances):
        return one(
            snapshot(
                *diameters(),
                *[
                    take("bottom_clearance", value, groove=n)
                    for n, value in enumerate(clearances, 1)
                ],
                geometry=geometry,
            ),
            "seat depths in the set",
        )

    uneven, even = told(4.0, 4.0, 4.0, 4.0, 1.0), told(2.0, 2.1, 1.9, 2.0, 2.1)
    assert (uneven.grade, even.grade) == (Grade.KEEP_AN_EYE_ON, Grade.NOT_ASSESSED)
    assert "seat radius" in str(even.reason)


def test_a_layer_that_is_gone_is_told_and_one_that_is_left_is_not_known():
    geometry = V | {"groove_angle_deg": None, "hardened_depth_mm": 0.2}

    gone = one(snapshot(*bands(4.0), geometry=geometry), "hardened layer", "groove 1")
    left = one(snapshot(*bands(0.2), geometry=geometry), "hardened layer", "groove 1")

    assert (gone.grade, left.grade) == (Grade.PLAN_WORK, Grade.NOT_ASSESSED)
    assert "groove angle" in str(left.reason)
