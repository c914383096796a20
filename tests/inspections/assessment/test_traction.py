"""Traction from readings: worked out, blocked or said to lack something.

The machine is the worked case of a study note (own, derived): 1:1, 1200/1000 kg, 0.45,
30 m, five 13 mm ropes, wrap 165 degrees; ratios 1.5371, 1.5344 and 1.6022 against
limits 1.7647 and 1.6317 in an undercut of 95 degrees with a mouth of 30 as new.
"""

from dataclasses import replace
from datetime import date

import pytest

from inspections.assessment import wear_limits
from inspections.assessment.assessing import judge
from inspections.assessment.knowing import know
from inspections.models import Grade
from tests.inspections.assessment.snapshots import (
    BEFORE,
    TODAY,
    UNDERCUT,
    WRAPPED,
    V,
    diameters,
    found,
    one,
    snapshot,
    take,
    worn,
)

NEW = worn(4.0)


def test_groove_as_new_gives_the_ratios_and_limits_of_the_worked_case():
    as_in_the_note = UNDERCUT | {"seat_radius_mm": 6.5}
    draft = one(snapshot(*NEW, geometry=as_in_the_note), "traction", "groove 1")

    cases = {case["tensions"]["case"]: case for case in draft.detail["cases"]}
    ratio = {
        name: case["tensions"]["t1_n"] / case["tensions"]["t2_n"]
        for name, case in cases.items()
    }
    assert ratio["LOADING"] == pytest.approx(1.5371, abs=5e-5)
    assert ratio["BRAKING_FULL"] == pytest.approx(1.5344, abs=5e-5)
    assert ratio["BRAKING_EMPTY"] == pytest.approx(1.6022, abs=5e-5)
    assert cases["LOADING"]["limit_ratio"] == pytest.approx(1.7647, abs=5e-5)
    assert cases["BRAKING_EMPTY"]["limit_ratio"] == pytest.approx(1.6317, abs=5e-5)
    assert draft.detail["worst"] == "BRAKING_EMPTY"
    assert draft.margin == cases["BRAKING_EMPTY"]["margin"]


def test_every_groove_is_told_with_the_readings_it_rests_on():
    drafts = found(snapshot(*NEW), "traction")

    assert [draft.place for draft in drafts] == [f"groove {n}" for n in range(1, 6)]
    assert all(draft.readings for draft in drafts)


def test_no_readings_says_what_a_seat_depth_needs():
    draft = one(snapshot(), "traction")

    assert draft.grade == Grade.NOT_ASSESSED
    assert str(draft.reason).startswith("no seat depth: it needs")


@pytest.mark.parametrize(
    ("field", "words"),
    [
        ("car_mass_kg", "car mass"),
        ("rated_load_kg", "rated load"),
        ("balance_ratio", "balance or counterweight mass"),
        ("travelling_cable_mass_kg_m", "travelling cable (0 if negligible)"),
        ("compensation_mass_kg_m", "compensation (0 if there is none)"),
        ("wrap_angle_deg", "wrap angle, or offset and drop of the deflector"),
    ],
)
def test_a_missing_item_is_said_and_never_guessed(field, words):
    draft = one(snapshot(*NEW, machine={field: None}), "traction")

    assert draft.grade == Grade.NOT_ASSESSED
    assert words in str(draft.reason)


def test_seat_past_its_bottom_is_acted_on_at_once_and_stops_service():
    drafts = found(snapshot(*worn(-0.2)), "traction", "groove 3")

    assert drafts[0].grade == Grade.ACT_NOW
    assert drafts[0].stops_service
    assert drafts[0].margin < 0.0


def test_roping_above_two_to_one_is_blocked_with_the_reason():
    draft = one(snapshot(*NEW, machine={"roping_ratio": 4}), "traction")

    assert draft.grade == Grade.NOT_ASSESSED
    assert "roping is 4:1" in str(draft.reason)


def test_lined_grooves_are_blocked_and_nothing_of_them_is_judged():
    lined = snapshot(
        *NEW,
        geometry={
            "form": "ROUND",
            "surface": "LINED",
            "pitch_diameter_mm": 600.0,
            "seat_radius_mm": 6.8,
            "groove_angle_deg": 30.0,
        },
    )

    assert "the drive grooves are lined" in str(one(lined, "traction").reason)
    assert not found(lined, "bottom clearance")


@pytest.mark.parametrize("kind", ["COATED_ROPE", "BELT"])
def test_belts_and_coated_ropes_are_registered_but_not_judged(kind):
    of = snapshot(
        *NEW,
        take("breaks_total", 3, rope=1, window="lay"),
        rope_set={"suspension": kind},
    )

    assert one(of, "traction").grade == Grade.NOT_ASSESSED
    assert one(of, "rope discard").grade == Grade.NOT_ASSESSED
    assert not found(of, "broken wires")


def test_fewer_ropes_than_the_set_asks_for_blocks_traction():
    of = snapshot(
        *worn(4.0, grooves=2),
        criteria_set="ASME_A17_1",
        rope_set={"ropes_count": 2},
    )

    assert "2 ropes, ASME_A17_1 asks for 3" in str(one(of, "traction").reason)


def test_a_failed_field_test_outranks_a_calculation_that_closes():
    of = snapshot(*NEW, take("slip_seen", word="yes", visit_kind="SLIP_TEST"))

    assert {d.grade for d in found(of, "traction")} == {Grade.ACT_NOW}


def test_a_failed_field_test_is_told_where_nothing_can_be_calculated():
    of = snapshot(
        *NEW,
        take("slip_seen", word="yes", visit_kind="SLIP_TEST"),
        machine={"roping_ratio": 4},
    )

    draft = one(of, "traction")
    assert draft.grade == Grade.ACT_NOW
    assert draft.stops_service
    assert "failed and outranks" in str(draft.reason)


def test_a_word_that_nothing_slipped_decides_nothing_under_a_borrowed_method():
    told = take("slip_seen", word="no", visit_kind="SLIP_TEST", on=date(2026, 5, 1))

    without = found(snapshot(*NEW, criteria_set="ASME_A17_1"), "traction")
    held = found(snapshot(*NEW, told, criteria_set="ASME_A17_1"), "traction")

    assert {d.grade for d in without} == {Grade.NOT_ASSESSED}
    assert {d.grade for d in held} == {Grade.NOT_ASSESSED}


def test_a_case_that_does_not_close_as_new_is_told_by_itself_and_stops_nothing():
    of = snapshot(*NEW, machine={"car_mass_kg": 700.0, "wrap_angle_deg": 140.0})

    drafts, limits, _ = judge(of)
    told = [d for d in drafts if d.topic == "traction, one load case"]
    assert {(d.grade, d.stops_service) for d in told} == {(Grade.PLAN_WORK, False)}
    assert all("does not close with the groove as new" in str(d.reason) for d in told)
    kept = [limit for limit in limits if limit.quantity == "seat_depth"]
    assert {(limit.reason, limit.value) for limit in kept} == {
        ("LOADING", wear_limits.LEAST_MM)
    }


def test_a_case_not_closed_as_new_does_not_hide_the_bottom():
    machine = {"car_mass_kg": 700.0, "wrap_angle_deg": 140.0}
    deep = snapshot(*worn(0.4), machine=machine)

    told = [d for d in judge(deep)[0] if d.stops_service]
    assert {d.topic for d in told} == {"bottom clearance"}


def test_a_stalled_case_that_never_closed_hides_no_failure_of_another():
    """V of 35 degrees, 100 m of travel, crowns 6 mm lower: braking empty fails."""
    deep = [
        *diameters(on=date(2020, 2, 1)),
        *diameters(),
        *[
            take("rope_crown_height", value, groove=n, mark="A", on=on)
            for n in range(1, 6)
            for on, value in ((date(2020, 2, 1), 8.0), (TODAY, 2.0))
        ],
    ]
    of = snapshot(
        *deep,
        geometry=V | {"groove_angle_deg": 35.0, "flat_bottom_width_mm": 0.5},
        machine={"travel_m": 100.0, "stalled_drive": "ROPE_MUST_SLIP"},
    )

    main = found(of, "traction")
    assert {(d.grade, d.stops_service) for d in main} == {(Grade.ACT_NOW, True)}
    assert {d.detail["worst"] for d in main} == {"BRAKING_EMPTY"}


@pytest.mark.parametrize("criteria_set", ["EN_81_20", "MLIT_283"])
@pytest.mark.parametrize("crown_mm", [6.5, 7.98])
def test_a_case_that_never_closed_leaves_no_wear_to_go(criteria_set, crown_mm):
    """Braking that asks for more never moves the limit to the case after it.

    Whether the seats have worn, and whether the method is borrowed.
    """
    deep = [
        *diameters(on=date(2020, 2, 1)),
        *diameters(),
        *[
            take("rope_crown_height", value, groove=n, mark="A", on=on)
            for n in range(1, 6)
            for on, value in ((date(2020, 2, 1), 8.0), (TODAY, crown_mm))
        ],
    ]

    def limit(braking):
        of = snapshot(
            *deep,
            geometry=V | {"flat_bottom_width_mm": 0.5},
            machine={"braking_deceleration_m_s2": braking, "travel_m": 100.0},
            criteria_set=criteria_set,
        )
        drafts, limits, _ = judge(of)
        told = {str(d.topic) for d in drafts}
        return told, {
            (each.value, each.reason)
            for each in limits
            if each.quantity == "seat_depth"
        }

    harder = [limit(braking) for braking in (0.5, 1.0, 2.0, 4.0)]

    values = [max(value for value, _ in found) for _, found in harder]
    assert values == sorted(values, reverse=True)
    assert "traction, one load case" in harder[-1][0]
    assert values[-1] == wear_limits.LEAST_MM


def test_a_passed_test_keeps_a_case_not_closed_as_new_at_plan_work():
    machine = {"car_mass_kg": 700.0, "wrap_angle_deg": 140.0}
    passed = take("slip_seen", word="no", visit_kind="SLIP_TEST")

    of = snapshot(*worn(1.5), passed, machine=machine)
    told = found(of, "traction, one load case")
    assert {d.grade for d in told} == {Grade.PLAN_WORK}


def test_answers_name_both_ends_and_what_would_decide():
    draft = one(snapshot(*worn(3.5), machine=WRAPPED), "traction", "groove 1")

    over = draft.over
    assert over.worst < over.typical <= draft.margin < over.best
    assert {"car_mass_kg", "seat_depth_mm"} <= {each.name for each in over.unknowns}
    assert over.decides


def test_stalled_case_is_told_apart_where_the_register_does_not_know_the_drive():
    of = snapshot(
        *[
            take("seat_band_width", 1.0, groove=n, flank=flank)
            for n in range(1, 6)
            for flank in ("left", "right")
        ],
        *NEW[:10],
        geometry=V,
        machine={
            "stalled_drive": "UNKNOWN",
            "car_mass_kg": 300.0,
            "rated_load_kg": 300.0,
            "travel_m": 60.0,
        },
    )

    apart = found(of, "traction, stalled")
    assert apart
    assert {d.grade for d in apart} == {Grade.NOT_ASSESSED}
    assert "does not say whether the drive itself stalls" in str(apart[0].reason)


def test_uneven_flanks_stop_traction_with_the_kernels_sentence():
    of = snapshot(
        *NEW[:10],
        take("seat_band_width", 2.0, groove=1, flank="left"),
        take("seat_band_width", 4.0, groove=1, flank="right"),
        geometry=V,
    )

    draft = one(of, "traction", "groove 1")
    assert draft.grade == Grade.NOT_ASSESSED
    assert "left_width_mm is 2; it must be within 30 %" in str(draft.reason)
    assert "sheave is out of line" in str(draft.reason)


def test_an_older_good_reading_does_not_hide_a_newer_refused_one():
    def bands(left, right, on):
        return [
            take("seat_band_width", left, groove=1, flank="left", on=on),
            take("seat_band_width", right, groove=1, flank="right", on=on),
        ]

    of = snapshot(
        *NEW[:10],
        *[replace(each, on=BEFORE) for each in NEW[:10]],
        *bands(2.0, 2.0, BEFORE),
        *bands(2.0, 4.0, NEW[0].on),
        geometry=V,
    )

    assert one(of, "traction", "groove 1").grade == Grade.NOT_ASSESSED


def test_harder_braking_of_the_machine_is_used_and_softer_is_not():
    usual = one(snapshot(*NEW), "traction", "groove 1")
    hard = snapshot(*NEW, machine={"braking_deceleration_m_s2": 0.52})
    soft = snapshot(*NEW, machine={"braking_deceleration_m_s2": 0.2})

    assert one(hard, "traction", "groove 1").margin < usual.margin
    assert one(soft, "traction", "groove 1").margin == usual.margin


@pytest.mark.parametrize(("braking", "factor"), [(None, 1.2), (0.5, 1.2), (1.0, 1.227)])
def test_where_a_factor_stands_for_braking_it_grows_and_nothing_is_counted_twice(
    braking, factor
):
    """C1 = (g_n + a)/(g_n - a), at least 1.20 up to 1.6 m/s: EN 81-1:1985 clause 9."""
    of = snapshot(
        *NEW,
        machine={"braking_deceleration_m_s2": braking},
        criteria_set="EN_81_1_1985",
    )

    whole = know(of)
    usual = know(snapshot(*NEW, criteria_set="EN_81_1_1985"))

    assert dict(whole.rules.dynamic_factors)[1.6] == pytest.approx(factor, abs=5e-4)
    assert whole.cases == usual.cases


def test_a_braking_that_the_register_once_had_still_counts():
    hard = snapshot(*NEW, machine={"braking_deceleration_m_s2": 0.9})
    gone = snapshot(*NEW, machine={"braking_deceleration_m_s2": None})
    emptied = replace(gone, once_said={"braking_deceleration_m_s2": 0.9})

    assert (
        one(emptied, "traction", "groove 1").margin
        == one(hard, "traction", "groove 1").margin
    )


def test_slot_worn_past_the_methods_range_is_blocked_with_the_angle():
    """106 degrees: EN 81-50:2014, 5.11.2.2.1 (confirmed)."""
    wide = [take("slot_width", 11.2, groove=n) for n in range(1, 6)]

    drafts = found(snapshot(*NEW, *wide), "traction")
    draft = next(d for d in drafts if d.grade == Grade.NOT_ASSESSED)
    assert "the effective undercut angle is 113.4 degrees" in str(draft.reason)
    assert not {d.grade for d in drafts} & {Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON}


def test_slot_read_under_a_seat_of_no_known_radius_is_not_within_for_that():
    """Less known of the seat makes no slot narrower: the tightest seat counts."""
    wide = [take("slot_width", 10.7, groove=n) for n in range(1, 6)]

    for radius_mm in (6.5, None):
        geometry = UNDERCUT | {"seat_radius_mm": radius_mm}
        drafts = found(snapshot(*NEW, *wide, geometry=geometry), "traction")
        told = [draft for draft in drafts if "past 106" in str(draft.reason)]
        assert {draft.grade for draft in told} == {Grade.NOT_ASSESSED}
        assert not {d.grade for d in drafts} & {Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON}


def test_new_ropes_in_a_seat_of_053_d_have_an_answer_at_100_degrees():
    """The angle of the drawing is inside the range, though the rope's own is not."""
    drawn = UNDERCUT | {"undercut_angle_deg": 100.0, "seat_radius_mm": 6.9}

    drafts = found(snapshot(*NEW, geometry=drawn), "traction")

    assert len(drafts) == 5
    assert all(draft.margin is not None for draft in drafts)
    stalled = drafts[0].detail["cases"][-1]
    assert stalled["bedded_margin"] < stalled["margin"]


def test_slot_read_within_the_range_blocks_nothing():
    narrow = [take("slot_width", 10.2, groove=n) for n in range(1, 6)]

    assert len(found(snapshot(*NEW, *narrow), "traction")) == 5


def test_a_mouth_angle_that_is_not_registered_is_a_range_and_no_zero():
    """Between 25 and 45 degrees; with none at all the groove would not close."""
    unknown = {**UNDERCUT, "groove_angle_deg": None}

    of = snapshot(*worn(3.5), geometry=unknown, machine=WRAPPED)
    draft = one(of, "traction", "groove 1")
    told = next(each for each in draft.over.unknowns if each.name == "mouth_angle_rad")
    assert (round(told.low, 3), round(told.high, 3)) == (0.436, 0.785)
    assert "EN 81-50" in told.source
    assert draft.grade != Grade.IN_ORDER or draft.answer == "WITHIN"


def test_a_v_without_a_width_at_its_bottom_has_no_sharp_apex():
    sharp = {**V, "flat_bottom_width_mm": 0.0}
    unknown = {**V, "flat_bottom_width_mm": None}

    def bottom(geometry):
        of = snapshot(*NEW, geometry=geometry, machine={"car_mass_kg": None})
        _, limits, _ = judge(of)
        return min(each.value for each in limits if each.quantity == "seat_depth")

    assert bottom(unknown) < bottom(sharp)


def test_a_clearance_read_without_the_one_as_cut_leaves_traction_open():
    geometry = {**UNDERCUT, "bottom_clearance_new_mm": None}
    crowns = [
        take("rope_crown_height", value, groove=n, mark="A", on=on)
        for n in range(1, 6)
        for on, value in ((date(2020, 2, 1), 3.0), (TODAY, 3.0))
    ]
    of = snapshot(
        *diameters(on=date(2020, 2, 1)), *worn(0.6), *crowns, geometry=geometry
    )

    grades = {d.grade for d in found(of, "traction")}
    assert not grades & {Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON}
