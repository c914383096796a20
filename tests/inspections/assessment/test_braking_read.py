"""A car that was slowed harder than its braking is judged by is told of."""

import pytest

from inspections.models import Grade
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import (
    BEFORE,
    TODAY,
    diameters,
    found,
    one,
    snapshot,
    take,
    worn,
)

# 1.6^2/(2 x 0.8) = 1.6 m/s², and 1.6^2/(2 x 2.5) = 0.512.
HARD_MM, AS_REGISTERED_MM = 800.0, 2500.0


def run(stopping_mm, case="empty car up", on=TODAY, word="held"):
    return take(
        "traction_test",
        word=word,
        on=on,
        case=case,
        load_kg=0.0 if case == "empty car up" else 1000.0,
        speed_m_s=1.6,
        stopping_mm=stopping_mm,
    )


def told(*runs, clearance=3.0, **rest):
    return found(snapshot(*worn(clearance), *runs, **rest), Topic.REGISTER)


def test_harder_than_registered_asks_to_register_it():
    [draft] = told(run(HARD_MM))

    assert "slowed by at least 1.60 m/s²" in str(draft.reason)
    assert draft.detail["retardation_m_s2"] == pytest.approx(1.6)


def test_where_a_case_closes_only_as_registered_it_is_not_known():
    [draft] = told(run(HARD_MM))
    as_judged, as_slowed = draft.detail["least_margins"]

    assert as_judged > 0.0 > as_slowed
    assert draft.grade == Grade.NOT_ASSESSED
    assert "does not close" in str(draft.reason)


def test_where_every_case_closes_all_the_same_it_is_in_order_and_said():
    # 1.6^2/(2 x 2.0) = 0.64 m/s².
    [draft] = told(run(2000.0))

    assert min(draft.detail["least_margins"]) > 0.0
    assert draft.grade == Grade.IN_ORDER


@pytest.mark.parametrize("stopping_mm", [AS_REGISTERED_MM, 2560.0 / 1.05, None])
def test_no_harder_than_its_scatter_is_not_told(stopping_mm):
    assert told(run(stopping_mm)) == []


def test_harder_registered_is_judged_and_not_told():
    assert told(run(HARD_MM), machine={"braking_deceleration_m_s2": 1.6}) == []


def test_what_lies_in_the_range_of_a_braking_nobody_registered_is_open_already():
    unregistered = {"braking_deceleration_m_s2": None}

    assert told(run(1400.0), machine=unregistered) == []
    assert told(run(HARD_MM), machine=unregistered)


@pytest.mark.parametrize("case", ["empty car up", "loaded car down"])
def test_the_harder_of_a_visits_runs_counts(case):
    other = {"empty car up": "loaded car down"}.get(case, "empty car up")
    [draft] = told(run(AS_REGISTERED_MM, other), run(HARD_MM, case))

    assert draft.detail["retardation_m_s2"] == pytest.approx(1.6)


def test_a_later_visit_ends_it_for_a_brake_is_set_anew():
    assert told(run(HARD_MM, on=BEFORE), run(AS_REGISTERED_MM)) == []


def test_ropes_that_slipped_do_not_make_it_less():
    [draft] = told(run(HARD_MM, word="slipped"))

    assert draft.grade == Grade.NOT_ASSESSED


def test_shorter_never_looks_better():
    order = [Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON, Grade.NOT_ASSESSED]
    grades = [
        order.index(draft.grade)
        for way in (2200.0, 2000.0, 1500.0, 1000.0, 600.0)
        for draft in told(run(way))
    ]

    assert grades == sorted(grades)
    assert len(grades) == 5


def test_without_a_test_nothing_is_told():
    of = snapshot(*diameters())

    assert found(of, Topic.REGISTER) == []
    assert one(of, Topic.TRACTION)
