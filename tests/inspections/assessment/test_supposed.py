"""Masses and wrap that are not registered: answered over what is plausible."""

from dataclasses import replace
from math import degrees

import pytest

from inspections.assessment.assessing import judge
from inspections.engineering import unknowns
from inspections.engineering.answer import Answer
from inspections.models import Grade
from inspections.options.facts import braking_hardest
from tests.inspections.assessment.snapshots import (
    FITTED,
    UNDERCUT,
    V,
    diameters,
    found,
    one,
    snapshot,
    take,
    worn,
)

GONE = {
    "car_mass_kg": "car_mass_kg",
    "balance_ratio": "balance_ratio",
    "wrap_angle_deg": "wrap_angle_rad",
    "travelling_cable_mass_kg_m": "travelling_cable_kg_per_m",
    "compensation_mass_kg_m": "compensation_kg_per_m",
}
BRAKING = {"braking_deceleration_m_s2": "braking_deceleration_m_s2"}
# Nothing is less than none, and softer than a code supposes changes nothing.
LEAST_IS_USUAL = ("compensation_kg_per_m", *BRAKING)
ALL_GONE = dict.fromkeys(GONE)
NEW = worn(4.0)
LOAD_KG = 1000.0


def bands(width_mm):
    return [
        *diameters(),
        *[
            take("seat_band_width", width_mm, groove=n, flank=flank)
            for n in range(1, 6)
            for flank in ("left", "right")
        ],
    ]


@pytest.mark.parametrize("column", GONE | BRAKING)
def test_an_item_that_is_not_registered_lies_in_its_plausible_range(column):
    of = snapshot(*NEW, machine={column: None})

    over = found(of, "traction")[0].over
    name = (GONE | BRAKING)[column]
    (assumed,) = [each for each in over.unknowns if each.name == name]
    row = unknowns.find(name=name)
    assert assumed.source == row.source.text
    assert over.worst < over.typical <= over.best
    assert assumed.low < assumed.typical or name in LEAST_IS_USUAL


@pytest.mark.parametrize("column", GONE | BRAKING)
def test_taking_a_value_away_narrows_neither_end_and_makes_nothing_within(column):
    for readings, geometry in ((NEW, None), (bands(3.0), V)):
        of = snapshot(*readings, geometry=geometry)
        gone = replace(
            snapshot(*readings, geometry=geometry, machine={column: None}),
            once_said={column: getattr(of.machine, column)},
        )
        whole, less = (found(each, "traction") for each in (of, gone))
        assert less[0].over.worst <= whole[0].over.worst
        assert less[0].over.best >= whole[0].over.best
        assert less[0].over.best > less[0].over.worst + 0.1
        if whole[0].over.answer is not Answer.WITHIN:
            assert less[0].over.answer is not Answer.WITHIN


@pytest.mark.parametrize("end", ["low", "high"])
@pytest.mark.parametrize(
    ("column", "scale"),
    [
        ("balance_ratio", 1.0),
        ("car_mass_kg", LOAD_KG),
        ("wrap_angle_deg", degrees(1)),
        ("braking_deceleration_m_s2", 1.0),
    ],
)
def test_what_nobody_knows_is_no_surer_than_any_value_in_its_range(column, scale, end):
    value = scale * getattr(unknowns.find(name=(GONE | BRAKING)[column]), end)

    told, gone = (
        found(snapshot(*NEW, machine={column: given}), "traction")[0].over
        for given in (value, None)
    )
    assert gone.worst <= told.worst + 1e-6


def test_work_is_decided_on_the_hardest_braking_only_where_nobody_registered_it():
    high = unknowns.find(name="braking_deceleration_m_s2").high
    gone = snapshot(*NEW, machine={"braking_deceleration_m_s2": None})
    said = replace(gone, once_said={"braking_deceleration_m_s2": 2.0 * high})

    assert braking_hardest(snapshot(*NEW)) is None
    assert braking_hardest(gone).retardation_m_s2 == high
    assert braking_hardest(said).retardation_m_s2 == 2.0 * high


def test_what_was_said_once_is_no_surer_than_what_was_entered_as_assumed():
    entered = {"balance_ratio": 0.5, "sources": {"balance_ratio": "ASSUMED"}}
    gone = replace(
        snapshot(*NEW, machine={"balance_ratio": None}),
        once_said={"balance_ratio": 0.5},
    )

    before = found(snapshot(*NEW, machine=entered), "traction")[0].over
    after = found(gone, "traction")[0].over
    assert after.worst <= before.worst + 1e-6


def test_open_masses_are_never_in_order_and_are_named_with_both_ends():
    draft = one(snapshot(*NEW, machine={"car_mass_kg": None}), "traction")

    assert (draft.grade, draft.over.answer) == (Grade.NOT_ASSESSED, Answer.OPEN)
    assert draft.over.decides == "car_and_balance"
    assert 0.0 < draft.over.chance < 1.0
    assert "car mass" in str(draft.reason)
    assert f"{draft.over.worst:+.3f}" in str(draft.reason)


def test_a_groove_that_holds_any_plausible_car_is_within():
    machine = {"wrap_angle_deg": 174.0, "car_mass_kg": None}
    of = snapshot(*bands(0.5), geometry=V, machine=machine)

    for draft in found(of, "traction"):
        assert (draft.grade, draft.over.answer) == (Grade.IN_ORDER, Answer.WITHIN)
        assert "missing: car mass" in str(draft.reason)


NO_MASSES = {"car_mass_kg": None, "balance_ratio": None}


def test_what_wear_took_is_acted_on_with_the_usual_masses_although_open():
    of = snapshot(
        *bands(4.1), geometry=V, machine=NO_MASSES | {"wrap_angle_deg": 100.0}
    )

    for draft in found(of, "traction"):
        assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)
        assert draft.over.answer is Answer.OPEN


def test_a_groove_that_holds_no_plausible_car_is_beyond():
    of = snapshot(*bands(4.1), geometry=V, machine=NO_MASSES | {"wrap_angle_deg": 45.0})

    told = found(of, "traction, one load case")
    assert Answer.BEYOND in {draft.over.answer for draft in told}
    assert {draft.grade for draft in told} <= {Grade.PLAN_WORK, Grade.ACT_NOW}


def test_what_only_the_usual_masses_do_not_close_as_new_stops_nothing():
    of = snapshot(*worn(2.0), machine={**ALL_GONE, "travel_m": 120.0})

    drafts = judge(of)[0]
    assert not any(d.stops_service for d in drafts if "traction" in str(d.topic))


def test_a_value_that_was_taken_away_stays_as_one_end():
    of = snapshot(*NEW, machine={"car_mass_kg": None})
    said = replace(of, once_said={"car_mass_kg": 300.0})

    over, wider = (one(each, "traction").over for each in (of, said))
    low = {each.name: each.low for each in wider.unknowns}["car_mass_kg"]
    # As far off as an assumed mass may be: twice 5 %, two standard deviations.
    assert low == pytest.approx(300.0 * 0.8)
    assert wider.worst < over.worst


def test_a_counterweight_once_weighed_stays_as_one_end_of_the_balance():
    of = snapshot(*NEW, machine={"balance_ratio": None})
    said = replace(of, once_said={"counterweight_mass_kg": 1200.0})

    ends = {each.name: each for each in one(said, "traction").over.unknowns}
    assert ends["balance_ratio"].low == 0.0


@pytest.mark.parametrize(
    ("column", "value", "name"),
    [
        ("counterweight_mass_kg", 1300.0, "balance_ratio"),
        ("wrap_angle_deg", 140.0, "wrap_angle_rad"),
        ("mass_kg_m", 2.0, "rope_mass_kg_per_m"),
    ],
)
def test_what_is_known_another_way_reaches_to_what_was_said(column, value, name):
    of = snapshot(*NEW)
    said = replace(of, once_said={column: value})

    before, after = (found(each, "traction")[0].over for each in (of, said))
    assert after.worst < before.worst
    assert name in {each.name for each in after.unknowns if each.source}


def test_a_car_that_was_weighed_on_site_stands_for_one_that_is_not_registered():
    less = {"car_mass_kg": None}
    weighed = snapshot(*NEW, take("car_mass", 1200.0), machine=less)

    by_reading = one(weighed, "traction", "groove 1").over
    by_register = one(snapshot(*NEW), "traction", "groove 1").over
    assert by_reading.worst == pytest.approx(by_register.worst)
    assert by_reading.best == pytest.approx(by_register.best)


def test_without_ropes_a_failed_test_is_told_all_the_same():
    failed = take("slip_seen", word="yes", visit_kind="SLIP_TEST")
    of = replace(snapshot(failed), ropes=(), seats=())

    assert one(of, "traction").stops_service


def test_other_topics_rest_on_no_supposed_mass():
    drafts = judge(snapshot(*NEW, machine={"car_mass_kg": None}))[0]

    for topic in ("groove pressure", "rope safety factor"):
        told = [each for each in drafts if each.topic == topic]
        assert {each.grade for each in told} == {Grade.NOT_ASSESSED}, topic


def together(width_mm, **machine):
    of = snapshot(
        *bands(width_mm),
        geometry=V | {"groove_angle_deg": 42.0},
        machine={"wrap_angle_deg": None} | machine,
    )
    return found(of, "traction, all load cases")


def test_cases_that_no_wrap_lets_close_together_are_beyond_though_each_is_open():
    told = together(3.8, travel_m=115.0)

    assert len(told) == 5
    for draft in told:
        assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)
        assert (draft.over.answer, draft.answer) == (Answer.BEYOND, "BEYOND")
        assert draft.margin < 0.0
        assert "no values of what is not known let all of them" in str(draft.reason)


def test_cases_that_some_wrap_lets_close_together_are_not_told():
    assert together(1.0, travel_m=60.0) == []


def test_a_drive_that_stalls_or_is_not_known_is_not_asked_to_let_the_ropes_slip():
    for drive in ("DRIVE_STALLS", "UNKNOWN"):
        assert together(3.8, travel_m=115.0, stalled_drive=drive) == []


def test_a_v_of_the_least_angle_is_decided():
    of = snapshot(*bands(1.0), geometry=V | {"groove_angle_deg": 35.0})

    assert found(of, "traction")[0].over.answer is Answer.WITHIN


BOTTOM = "bottom clearance"


def crowns(fall_mm):
    first = {"on": FITTED}
    return [
        *diameters(**first),
        *[
            take("rope_crown_height", 2.0, groove=n, mark="A", **first)
            for n in range(1, 6)
        ],
        *diameters(),
        *[
            take("rope_crown_height", 2.0 - fall_mm, groove=n, mark="A")
            for n in range(1, 6)
        ],
    ]


def bottom(fall_mm, **cut):
    return found(snapshot(*crowns(fall_mm), geometry=UNDERCUT | cut), BOTTOM)


def test_a_bottom_that_nobody_registered_is_open_between_its_plausible_depths():
    draft = bottom(1.5, bottom_clearance_new_mm=None)[0]

    assert (draft.grade, draft.over.answer) == (Grade.NOT_ASSESSED, Answer.OPEN)
    assert draft.over.decides == "groove_section"
    assert draft.over.worst < 0.0 < draft.over.typical < draft.over.best
    assert "the clearance left lies between" in str(draft.reason)


def test_a_shallow_seat_is_clear_of_any_plausible_bottom():
    assert bottom(0.2, bottom_clearance_new_mm=None) == []


def test_a_bottom_used_up_with_the_usual_groove_is_acted_on_although_open():
    draft = bottom(3.0, bottom_clearance_new_mm=None)[0]

    assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)
    assert draft.over.answer is Answer.OPEN


def test_no_plausible_bottom_is_deep_enough_for_a_very_deep_seat():
    draft = bottom(6.3, bottom_clearance_new_mm=None)[0]

    assert (draft.grade, draft.over.answer) == (Grade.ACT_NOW, Answer.BEYOND)


def test_a_registered_bottom_is_open_only_by_what_the_seat_is_not_known_by():
    assert bottom(2.0) == []
    near = bottom(3.5)[0]
    assert near.over.decides == "seat_depth_mm"
