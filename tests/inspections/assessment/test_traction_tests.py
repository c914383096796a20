"""Traction tests as records: what failed stands, what held loosens nothing."""

from datetime import date

import pytest

from inspections.assessment import checks
from inspections.assessment.knowing import know
from inspections.models import Grade, StopCause
from inspections.reasons import Topic
from inspections.stops import causes
from tests.inspections.assessment.snapshots import (
    BEFORE,
    V,
    diameters,
    found,
    on_every_rope,
    one,
    snapshot,
    take,
    worn,
)

TEST = Topic.TRACTION_TEST
FULL = {
    "125 % static": {"load_kg": 1250.0, "slid_mm": 0.0},
    "empty car up": {
        "load_kg": 0.0,
        "speed_m_s": 1.6,
        "slid_mm": 2.0,
        "stopping_mm": 1500.0,
    },
    "loaded car down": {
        "load_kg": 1000.0,
        "speed_m_s": 1.6,
        "slid_mm": 2.0,
        "stopping_mm": 1500.0,
    },
}
EVERY_CASE = pytest.mark.parametrize("case", FULL)


def run(case, word="held", on=None, **other):
    rest = {"on": on} if on else {}
    return take("traction_test", word=word, case=case, **(FULL[case] | other), **rest)


@EVERY_CASE
def test_a_run_in_full_that_held_is_in_order(case):
    assert one(snapshot(run(case)), TEST).grade == Grade.IN_ORDER


@EVERY_CASE
@pytest.mark.parametrize("load", [None, 0.0, 500.0, 1250.0, 2000.0])
def test_slipping_fails_whatever_the_load(case, load):
    draft = one(snapshot(run(case, "slipped", load_kg=load)), TEST)

    assert (draft.grade, draft.stops_service, draft.place) == (
        Grade.ACT_NOW,
        True,
        case,
    )


@EVERY_CASE
def test_a_slide_that_was_measured_fails_though_the_word_says_held(case):
    assert one(snapshot(run(case, slid_mm=60.0)), TEST).grade == Grade.ACT_NOW


@pytest.mark.parametrize("case", ["empty car up", "loaded car down"])
def test_stopping_too_late_fails(case):
    # 1.6^2/(2 x 0.5) = 2.56 m.
    late = one(snapshot(run(case, stopping_mm=2700.0)), TEST)
    in_time = one(snapshot(run(case, stopping_mm=2400.0)), TEST)

    assert late.stops_service
    assert "slowed by less" in str(late.reason)
    assert in_time.grade == Grade.IN_ORDER


@EVERY_CASE
def test_less_told_of_a_run_is_never_in_order(case):
    for name in FULL[case]:
        if name == "slid_mm":
            continue  # The word tells that the ropes held.
        less = snapshot(run(case, **{name: None}))
        assert one(less, TEST).grade == Grade.NOT_ASSESSED


@EVERY_CASE
def test_a_later_run_that_held_clears_nothing(case):
    of = snapshot(run(case, "slipped", on=BEFORE), run(case))

    assert one(of, TEST).grade == Grade.ACT_NOW


@EVERY_CASE
def test_new_grooves_begin_anew(case):
    of = snapshot(run(case, "slipped", on=BEFORE), cut_on=date(2026, 1, 10))

    assert found(of, TEST) == []


def test_each_case_is_told_by_itself():
    of = snapshot(run("125 % static"), run("empty car up", "slipped"))

    told = {draft.place: draft.grade for draft in found(of, TEST)}
    assert told == {"125 % static": Grade.IN_ORDER, "empty car up": Grade.ACT_NOW}


def test_tests_that_held_loosen_no_calculated_margin():
    before = [d.grade for d in found(snapshot(*worn(2.0)), "traction")]
    after = [d.grade for d in found(snapshot(*worn(2.0), *map(run, FULL)), "traction")]

    assert after == before


def test_a_failed_one_is_the_stop_of_a_failed_slip_test():
    assert (
        causes.of_finding(
            topic=TEST, place="empty car up", on_rope=False, test_failed=False
        )
        == causes.of_reading(kind="traction_test", part="")
        == StopCause.SLIP_TEST_FAILED
    )


BORROWED = {"criteria_set": "ASME_A17_1"}
WORN = worn(3.8)


def test_a_record_that_held_in_every_case_decides_under_a_borrowed_method():
    without = found(snapshot(*WORN, **BORROWED), "traction")
    whole = found(snapshot(*WORN, *map(run, FULL), **BORROWED), "traction")

    assert {draft.grade for draft in without} == {Grade.NOT_ASSESSED}
    assert Grade.NOT_ASSESSED not in {draft.grade for draft in whole}


@EVERY_CASE
def test_a_record_that_leaves_a_case_out_decides_nothing(case):
    some = [run(other) for other in FULL if other != case]

    told = found(snapshot(*WORN, *some, **BORROWED), "traction")
    assert {draft.grade for draft in told} == {Grade.NOT_ASSESSED}


@EVERY_CASE
def test_a_record_is_as_old_as_its_oldest_case(case):
    runs = [run(each, on=date(2025, 4, 1) if each == case else None) for each in FULL]

    told = found(snapshot(*WORN, *runs, **BORROWED), "traction")
    assert {draft.grade for draft in told} == {Grade.NOT_ASSESSED}


@EVERY_CASE
def test_a_failed_case_outranks_the_calculation_and_a_test_told_by_a_word(case):
    said = take("slip_seen", word="no", visit_kind="SLIP_TEST")
    runs = [run(each, "slipped" if each == case else "held") for each in FULL]

    told = found(snapshot(*WORN, said, *runs), "traction")
    assert {(d.grade, d.stops_service) for d in told} == {(Grade.ACT_NOW, True)}


def test_a_record_that_held_loosens_no_case_that_did_not_close_as_new():
    bands = [
        take("seat_band_width", 3.0, groove=n, flank=flank)
        for n in range(1, 6)
        for flank in ("left", "right")
    ]
    changed = {
        "geometry": V,
        "machine": {"car_mass_kg": 700.0, "wrap_angle_deg": 140.0},
    }
    for more in ((), tuple(map(run, FULL))):
        told = found(
            snapshot(*diameters(), *bands, *more, **changed), Topic.TRACTION_OF_CASE
        )
        assert {(d.grade, d.stops_service) for d in told} == {(Grade.ACT_NOW, True)}


def _missed(*readings):
    whole = know(snapshot(*readings))
    return [
        each.why for each in checks.completeness(whole, ()).missed if _is_test(each)
    ]


def _is_test(missed):
    return missed.check.startswith("traction_test")


def test_a_record_in_full_is_the_test_that_the_least_set_asks_for():
    assert _missed(*map(run, FULL)) == []
    assert _missed(run("125 % static"), run("empty car up")) == ["NEVER_READ"]
    unknown = [run(case, load_kg=None) for case in FULL]
    assert _missed(*unknown) == ["NEVER_READ"]


@pytest.mark.parametrize("kind", ["wave_time", "spring_length"])
def test_tensions_by_wave_or_spring_are_tensions_made(kind):
    read = on_every_rope(kind, 40.0, side="car", car_position="middle")
    whole = know(snapshot(*read))

    missed = {each.check for each in checks.completeness(whole, ()).missed}
    assert "rope_tension" not in missed
    assert "rope_tension" in {
        each.check for each in checks.completeness(know(snapshot()), ()).missed
    }


@pytest.mark.parametrize("case", ["empty car up", "loaded car down"])
def test_a_way_too_long_from_any_speed_stops_though_no_speed_was_read(case):
    draft = one(snapshot(run(case, speed_m_s=None, stopping_mm=3000.0)), TEST)

    assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)
    assert "slowed by less" in str(draft.reason)
