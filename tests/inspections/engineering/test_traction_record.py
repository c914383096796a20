from dataclasses import replace
from datetime import date

import pytest

from inspections.engineering import criteria
from inspections.engineering.answer import Answer
from inspections.engineering.criteria import traction_standing
from inspections.engineering.traction_case import (
    CaseTested,
    Shortfall,
    SlipCase,
    judge_case,
)
from inspections.engineering.traction_record import judge_test
from inspections.engineering.verdict import Outcome

STATIC = CaseTested(
    case=SlipCase.STATIC_125, slip_seen=False, slid_mm=0.0, load_kg=1250.0
)
EMPTY_UP = CaseTested(
    case=SlipCase.EMPTY_UP,
    slip_seen=False,
    slid_mm=2.0,
    stopping_mm=1800.0,
    speed_m_s=1.6,
    load_kg=0.0,
)
LOADED_DOWN = replace(EMPTY_UP, case=SlipCase.LOADED_DOWN, load_kg=1000.0)
IN_FULL = (STATIC, EMPTY_UP, LOADED_DOWN)
DAY = date(2030, 5, 2)


def of_case(tested):
    return judge_case(tested=tested, rated_load_kg=1000.0, rated_speed_m_s=1.6)


def of_test(*tested):
    return judge_test(tested=tested, rated_load_kg=1000.0, rated_speed_m_s=1.6)


def test_retardation_follows_from_speed_and_way():
    assert EMPTY_UP.retardation_m_s2 == pytest.approx(1.6**2 / (2 * 1.8))


def test_test_in_full_without_slip_is_passed():
    assert of_test(*IN_FULL).answer is Answer.WITHIN


@pytest.mark.parametrize(
    "failed",
    [
        replace(STATIC, slid_mm=40.0),
        replace(STATIC, slip_seen=True, slid_mm=None, load_kg=None),
        replace(EMPTY_UP, stopping_mm=2600.0),
        replace(LOADED_DOWN, slip_seen=True),
        replace(LOADED_DOWN, stopping_mm=2600.0, load_kg=600.0),
    ],
)
def test_one_failed_case_fails_the_test_whatever_the_others_are(failed):
    rest = [each for each in IN_FULL if each.case is not failed.case]

    assert of_test(failed, *rest).answer is Answer.BEYOND
    assert of_test(failed).answer is Answer.BEYOND


@pytest.mark.parametrize("failed", [0, 1, 2])
def test_good_run_does_not_clear_a_failed_run_of_the_same_case(failed):
    bad = replace(IN_FULL[failed], slip_seen=True)

    assert of_test(bad, *IN_FULL).answer is Answer.BEYOND
    assert of_test(*IN_FULL, bad).answer is Answer.BEYOND


@pytest.mark.parametrize(
    ("tested", "why"),
    [
        (replace(STATIC, load_kg=1000.0), Shortfall.LOAD_TOO_SMALL),
        (replace(STATIC, load_kg=None), Shortfall.LOAD_NOT_KNOWN),
        (replace(STATIC, slid_mm=None, slip_seen=None), Shortfall.DISTANCE_NOT_READ),
        (replace(EMPTY_UP, load_kg=150.0), Shortfall.CAR_NOT_EMPTY),
        (replace(EMPTY_UP, speed_m_s=0.6), Shortfall.SPEED_TOO_LOW),
        (replace(EMPTY_UP, speed_m_s=None), Shortfall.SPEED_NOT_KNOWN),
        (replace(LOADED_DOWN, stopping_mm=None), Shortfall.DISTANCE_NOT_READ),
        (replace(LOADED_DOWN, load_kg=500.0), Shortfall.LOAD_TOO_SMALL),
    ],
)
def test_case_not_tested_in_full_is_open_and_says_why(tested, why):
    # A slow test stops on a short way; that proves nothing either.
    if why is Shortfall.SPEED_TOO_LOW:
        tested = replace(tested, stopping_mm=200.0)

    found = of_case(tested)

    assert found.answer is Answer.OPEN
    assert why in found.shortfalls


@pytest.mark.parametrize("left_out", [0, 1, 2])
def test_case_not_done_leaves_the_test_open(left_out):
    tested = IN_FULL[:left_out] + IN_FULL[left_out + 1 :]

    found = of_test(*tested)

    assert found.answer is Answer.OPEN
    assert found.cases[left_out].shortfalls == (Shortfall.NOT_DONE,)
    assert found.as_field_test(tested_on=DAY, stale=False) is None


def standing(code, margin, *tested, stale=False):
    return traction_standing(
        criteria_set=criteria.find(code=code),
        margin=margin,
        field_test=of_test(*tested).as_field_test(tested_on=DAY, stale=stale),
    ).outcome


@pytest.mark.parametrize("code", ["EN_81_20", "ASME_A17_1"])
@pytest.mark.parametrize("stale", [False, True])
def test_failed_test_outranks_any_calculation_current_or_not(code, stale):
    failed = replace(LOADED_DOWN, slip_seen=True)

    assert standing(code, 0.5, failed, stale=stale) is Outcome.MET


def test_passed_test_loosens_nothing_where_the_method_is_the_codes_own():
    assert standing("EN_81_20", -0.1, *IN_FULL) is Outcome.MET
    assert standing("EN_81_20", None, *IN_FULL) is Outcome.NOT_ASSESSED


def test_passed_test_decides_under_a_borrowed_method_while_it_is_current():
    assert standing("ASME_A17_1", -0.1, *IN_FULL) is Outcome.NOT_MET
    assert standing("ASME_A17_1", -0.1, *IN_FULL, stale=True) is Outcome.NOT_ASSESSED
    assert standing("ASME_A17_1", -0.1, STATIC) is Outcome.NOT_ASSESSED


@pytest.mark.parametrize("case", [SlipCase.EMPTY_UP, SlipCase.LOADED_DOWN])
def test_a_way_too_long_from_any_speed_fails_though_no_speed_was_read(case):
    # (1.05 x 1.6)^2/(2 x 0.5) = 2.822 m.
    answers = [
        judge_case(
            tested=CaseTested(case=case, slip_seen=False, stopping_mm=way_mm),
            rated_load_kg=1000.0,
            rated_speed_m_s=1.6,
        )
        for way_mm in (2800.0, 2840.0)
    ]

    assert [found.answer for found in answers] == [Answer.OPEN, Answer.BEYOND]
    assert answers[0].retardation_m_s2 is None
    assert answers[1].retardation_m_s2 == pytest.approx(1.68**2 / (2.0 * 2.84))


@pytest.mark.parametrize("speed_m_s", [0.3, 1.0, 1.6, 1.68])
def test_no_speed_read_never_makes_a_stop_look_better_than_any_speed(speed_m_s):
    for way_mm in (500.0, 2600.0, 2900.0, 6000.0):
        tested = CaseTested(
            case=SlipCase.EMPTY_UP, slip_seen=False, stopping_mm=way_mm, load_kg=0.0
        )
        known, unknown = (
            judge_case(tested=each, rated_load_kg=1000.0, rated_speed_m_s=1.6)
            for each in (replace(tested, speed_m_s=speed_m_s), tested)
        )
        assert unknown.answer is not Answer.WITHIN
        if unknown.answer is Answer.BEYOND:
            assert known.answer is Answer.BEYOND
