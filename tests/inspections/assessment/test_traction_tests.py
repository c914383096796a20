"""Traction tests as records: what failed stands, what held loosens nothing."""

from datetime import date

import pytest

from inspections.models import Grade, StopCause
from inspections.reasons import Topic
from inspections.stops import causes
from tests.inspections.assessment.snapshots import (
    BEFORE,
    found,
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
