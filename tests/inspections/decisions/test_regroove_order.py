from dataclasses import replace
from datetime import date
from math import radians, sin

import pytest

from inspections.decisions import regroove_order, thresholds
from inspections.decisions.records import GrooveDrawing, OptionKind
from inspections.engineering.cut import KnownForm, Proof
from inspections.reasons import Code, Term, english
from tests.inspections.decisions import machines

DRAWING = GrooveDrawing(
    groove_angle_deg=30.0,
    undercut_angle_deg=95.0,
    seat_radius_mm=6.9,
    slot_width_mm=10.17,
    bottom_clearance_new_mm=2.5,
    groove_pitch_mm=20.0,
    axial_mm=tuple((n, 20.0 * n) for n in range(1, 6)),
    rim_width_mm=130.0,
    rim_construction="solid cast",
    material="grey cast iron",
    hardness_hb=210.0,
    datum_mark="A at the keyway",
    underside_runout_mm=0.8,
    crack_checked_on=date(2025, 11, 3),
)


def order(*, drawing=DRAWING, kind=OptionKind.REGROOVE_IN_SHOP, changes=(), **facts):
    return regroove_order.draw_up(
        facts=replace(machines.SOUND, **facts),
        drawing=drawing,
        thresholds=thresholds.changed(changes=dict(changes)),
        kind=kind,
    )


def line(found, name):
    return next(each for each in found.lines if each.name == name)


def lacks(found):
    return [english(item) for item in found.missing]


def because(found):
    return " | ".join(reason.text for reason in found.because)


def test_an_order_with_everything_known_may_be_placed():
    found = order()

    assert found.may_be_placed
    assert found.because == ()
    assert found.missing == ()


def test_it_says_how_deep_to_turn_from_the_worst_groove():
    found = order()

    depth = line(found, "cut_depth_mm")
    assert depth.value == pytest.approx(0.9 + 1.6)
    assert "groove 3 is the deepest at 0.90 mm" in depth.words
    assert line(found, "pitch_diameter_mm").value == pytest.approx(600.0 - 5.0)
    assert line(found, "runout_mm").upper == pytest.approx(595.0 / 2000.0)


def test_form_and_slot_carry_their_tolerances_and_sources():
    found = order()

    assert line(found, "form").text == "undercut"
    seat = line(found, "seat_radius_mm")
    assert (seat.lower, seat.value, seat.upper) == (6.9, 6.9, pytest.approx(7.0))
    undercut = line(found, "undercut_angle_deg")
    assert (undercut.lower, undercut.upper) == (94.0, 96.0)
    slot = line(found, "slot_width_mm")
    assert (slot.lower, slot.upper) == (pytest.approx(10.07), pytest.approx(10.27))
    assert all(each.source for each in found.lines)


def test_a_slot_that_is_not_registered_is_derived_from_its_angle():
    slot = line(order(drawing=replace(DRAWING, slot_width_mm=None)), "slot_width_mm")

    assert slot.value == pytest.approx(2 * 6.9 * sin(radians(47.5)))
    assert slot.source.startswith("derived")


def test_every_groove_says_what_is_taken_and_what_stays():
    found = order()

    assert [groove.number for groove in found.grooves] == [1, 2, 3, 4, 5]
    deepest = next(groove for groove in found.grooves if groove.is_deepest)
    thinnest = next(groove for groove in found.grooves if groove.is_thinnest)
    assert deepest.number == 3
    assert deepest.turn_at_seat_mm == pytest.approx(1.6)
    assert thinnest.number == 5
    assert thinnest.metal_now_mm == 28.0
    assert thinnest.metal_after_mm == pytest.approx(25.5)
    assert thinnest.metal_after_worst_mm == pytest.approx(28.0 - 1.5 - 2.5 - 0.1)
    assert thinnest.axial_mm == 100.0


def test_it_says_what_must_stay_and_what_was_found():
    found = order()

    assert line(found, "minimum_rim_mm").lower == 18.0
    assert line(found, "minimum_pitch_diameter_mm").value == 560.0
    assert str(line(found, "crack_check").answer) == "none found (2025-11-03)"
    assert line(found, "underside_runout_mm").value == 0.8
    assert line(found, "datum_mark").text == "A at the keyway"


def test_it_names_keepers_and_lands_and_what_to_measure_after():
    found = order()

    before = " ".join(reason.text for reason in found.before_turning)
    after = " ".join(reason.text for reason in found.after_turning)
    assert "keepers" in before
    assert "crack check" in before
    for word in ("equal within 0.10 mm", "D/2000", "15 HB", "groove gauge"):
        assert word in after
    assert "does not authorise operation" in " ".join(map(str, found.cautions))


@pytest.mark.parametrize(
    ("lacking", "missing"),
    [
        ("groove_angle_deg", "mouth angle"),
        ("undercut_angle_deg", "undercut angle"),
        ("seat_radius_mm", "seat radius"),
        ("bottom_clearance_new_mm", "depth of the slot below the rope"),
        ("groove_pitch_mm", "pitch of the grooves"),
    ],
)
def test_what_the_tool_is_set_by_is_named_and_not_filled_in(lacking, missing):
    found = order(drawing=replace(DRAWING, **{lacking: None}))

    assert missing in lacks(found)
    assert not found.may_be_placed
    assert missing in because(found)
    assert lacking not in {each.name for each in found.lines}


def test_an_empty_register_gives_an_order_full_of_gaps():
    found = order(
        drawing=GrooveDrawing(),
        sheave=None,
        seats=(),
        rim=None,
        proof=Proof(),
        rope_diameter_mm=None,
        margins=(),
        groove=None,
    )

    assert not found.may_be_placed
    assert "groove form" in lacks(found)
    assert "nominal rope diameter" in lacks(found)
    assert "places of the grooves along the rim" in lacks(found)
    assert found.grooves == ()
    assert line(found, "crack_check").answer is Term.CRACK_NOT_CHECKED
    assert "what traction is computed from" in because(found)


def test_without_slot_and_angle_the_slot_is_missing():
    bare = replace(DRAWING, slot_width_mm=None, undercut_angle_deg=None)

    assert "width of the slot" in lacks(order(drawing=bare))


def test_a_cut_that_does_not_fit_is_not_ordered():
    found = order(rim=machines.rim(*[19.0] * 5))

    assert not found.may_be_placed
    assert "less than 18.0 mm" in because(found)


def test_a_cut_after_which_traction_does_not_close_is_not_ordered():
    found = order(margins=machines.margins(-0.1, -0.02))

    assert not found.may_be_placed
    assert "traction is insufficient with the grooves as re-cut" in because(found)


def test_a_cracked_sheave_is_not_ordered():
    found = order(proof=replace(machines.SOUND.proof, crack_free=False))

    assert not found.may_be_placed
    assert line(found, "crack_check").answer.code is Code.CRACK_FOUND


def test_a_cut_that_is_not_confirmed_is_not_ordered():
    found = order(proof=replace(machines.SOUND.proof, crack_free=None))

    assert not found.may_be_placed
    assert "crack check" in lacks(found)


@pytest.mark.parametrize(
    ("form", "wanted", "unwanted"),
    [
        (KnownForm.V, "groove_angle_deg", "seat_radius_mm"),
        (KnownForm.ROUND, "seat_radius_mm", "slot_width_mm"),
    ],
)
def test_other_forms_are_set_by_other_values(form, wanted, unwanted):
    sheave = replace(machines.SOUND.sheave, form=form)

    names = {each.name for each in order(sheave=sheave).lines}

    assert wanted in names
    assert unwanted not in names


def test_clean_up_of_the_contractor_counts():
    found = order(changes={"clean_up_mm": 2.0})

    assert line(found, "cut_depth_mm").value == pytest.approx(2.9)


def test_work_that_does_not_cut_has_no_order():
    with pytest.raises(ValueError, match="must be one that cuts"):
        order(kind=OptionKind.RE_ROPE)
