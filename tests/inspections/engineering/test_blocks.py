from math import radians

import pytest

from inspections.engineering import blocks, criteria
from inspections.engineering.blocks import Blocked, BlockFacts, SuspensionMeans
from inspections.engineering.validity import OutsideValidity

EUROPE = criteria.find(code="EN_81_20")
AMERICA = criteria.find(code="ASME_A17_1")


@pytest.mark.parametrize(
    ("facts", "code", "what"),
    [
        (
            BlockFacts(suspension=SuspensionMeans.BELT),
            "not-a-steel-rope",
            Blocked.ASSESSMENT,
        ),
        (
            BlockFacts(suspension=SuspensionMeans.COATED_ROPE),
            "not-a-steel-rope",
            Blocked.ASSESSMENT,
        ),
        (
            BlockFacts(suspension=SuspensionMeans.SYNTHETIC_ROPE),
            "not-a-steel-rope",
            Blocked.ASSESSMENT,
        ),
        (BlockFacts(lined_grooves=True), "lined-grooves", Blocked.ASSESSMENT),
        (BlockFacts(roping_ratio=3), "roping-above-2-to-1", Blocked.TRACTION),
        (BlockFacts(missing_masses=("car",)), "missing-mass", Blocked.TRACTION),
        (BlockFacts(ropes=2), "too-few-ropes", Blocked.ASSESSMENT),
        (
            BlockFacts(undercut_angle_rad=radians(106.1)),
            "undercut-too-wide",
            Blocked.TRACTION,
        ),
        (
            BlockFacts(diameter_ratio_after_cut=39.9),
            "diameter-ratio-after-cut",
            Blocked.CUT,
        ),
        (BlockFacts(hardened_layer_gone=True), "hardened-layer-gone", Blocked.CUT),
        (BlockFacts(ropes=5, ropes_to_renew=2), "part-of-a-set", Blocked.RENEWAL),
        (BlockFacts(grades_mpa=(1570.0, 1770.0)), "mixed-grade", Blocked.RENEWAL),
        (BlockFacts(lays=("right", "left")), "mixed-lay", Blocked.RENEWAL),
        (
            BlockFacts(new_rope_thicker_than_seat=True),
            "rope-thicker-than-seat",
            Blocked.RENEWAL,
        ),
        (BlockFacts(uneven_grooves_remain=True), "uneven-feed", Blocked.EQUALISING),
        (
            BlockFacts(slip_or_traction_open=True),
            "lubrication-while-slip-is-open",
            Blocked.LUBRICATION,
        ),
        (BlockFacts(seat_bands_mm=(2.0, 3.0)), "uneven-seat-bands", Blocked.TRACTION),
        (BlockFacts(diameter_growth_mm=0.2), "rope-got-thicker", Blocked.READING),
        (BlockFacts(crown_rise_mm=0.2), "crown-rose", Blocked.READING),
        (
            BlockFacts(clearance_mm=6.0, clearance_most_mm=4.0),
            "clearance-above-new",
            Blocked.READING,
        ),
    ],
)
def test_each_block_has_its_code_and_a_reason(facts, code, what):
    (found,) = blocks.find(facts=facts, criteria_set=AMERICA)

    assert found.code == code
    assert found.what is what
    assert len(str(found.reason).split()) > 4


@pytest.mark.parametrize(
    "facts",
    [
        BlockFacts(),
        BlockFacts(
            roping_ratio=2,
            ropes=5,
            ropes_to_renew=5,
            undercut_angle_rad=radians(106.0),
            diameter_ratio_after_cut=40.0,
            grades_mpa=(1570.0, 1570.0),
            lays=("right", "right"),
            seat_bands_mm=(2.9, 3.0),
            diameter_growth_mm=0.05,
            crown_rise_mm=-0.4,
            clearance_mm=4.0,
            clearance_most_mm=4.0,
        ),
        BlockFacts(ropes=5, ropes_to_renew=0, seat_bands_mm=(0.0, 0.0)),
    ],
)
def test_what_is_in_order_is_not_blocked(facts):
    assert blocks.find(facts=facts, criteria_set=AMERICA) == ()


def test_the_set_decides_how_many_ropes_are_too_few():
    assert blocks.find(facts=BlockFacts(ropes=2), criteria_set=EUROPE) == ()


def test_several_blocks_are_all_named():
    facts = BlockFacts(lined_grooves=True, missing_masses=("car", "compensation"))

    found = blocks.find(facts=facts, criteria_set=EUROPE)

    assert [each.code for each in found] == ["lined-grooves", "missing-mass"]
    assert "car, compensation" in str(found[1].reason)


def test_what_was_not_seen_is_listed():
    assert "crown_rise_mm" in blocks.not_seen(facts=BlockFacts())
    assert "crown_rise_mm" not in blocks.not_seen(facts=BlockFacts(crown_rise_mm=0.0))


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"roping_ratio": 0}, "roping_ratio is 0"),
        ({"ropes": -1}, "ropes is -1"),
        ({"seat_bands_mm": (-1.0, 2.0)}, "seat_bands_mm is -1"),
        ({"grades_mpa": (0.0,)}, "grades_mpa is 0"),
    ],
)
def test_facts_that_cannot_be_are_refused(given, message):
    with pytest.raises(OutsideValidity, match=message):
        BlockFacts(**given)
