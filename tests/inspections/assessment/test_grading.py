"""From verdicts and margins to grades; the rules are this program's own."""

from dataclasses import replace

import pytest

from inspections.assessment import grading
from inspections.assessment.draft import Draft, merged, not_assessed, plain
from inspections.assessment.over import Over
from inspections.engineering import criteria, discard
from inspections.engineering.answer import Answer
from inspections.engineering.discard import Rouge
from inspections.models import Grade
from inspections.reasons import Term, Topic, missing, note

SET = criteria.find(code="EN_81_20")


def verdict(value, key="bottom_clearance_least"):
    return discard.judge_value(criteria_set=SET, key=key, value=value)


def draft(grade, topic="x"):
    return Draft(topic=topic, grade=grade, reason=note("why"))


@pytest.mark.parametrize(
    ("value", "sd", "grade"),
    [
        (0.4, 0.0, Grade.ACT_NOW),
        (0.55, 0.0, Grade.KEEP_AN_EYE_ON),
        (0.9, 0.0, Grade.IN_ORDER),
        (0.7, 0.15, Grade.PLAN_WORK),
    ],
)
def test_safety_limit_is_graded_by_distance_and_noise(value, sd, grade):
    assert grading.of_verdict(verdict(value), safety=True, sd=sd) == grade


def test_limit_without_safety_asks_for_work():
    assert grading.of_verdict(verdict(0.4), safety=False) == Grade.PLAN_WORK


def test_passed_watch_limit_asks_for_an_eye():
    watch = verdict(150.0, key="hardness_least")

    assert grading.of_verdict(watch, safety=True) == Grade.KEEP_AN_EYE_ON


def test_nothing_read_is_not_assessed():
    assert grading.of_verdict(verdict(None), safety=True) == Grade.NOT_ASSESSED


@pytest.mark.parametrize(
    ("margin", "sd", "depth", "limit", "grade"),
    [
        (-0.01, 0.0, 1.0, 2.0, Grade.ACT_NOW),
        (0.05, 0.03, 1.0, 2.0, Grade.PLAN_WORK),
        (0.2, 0.01, 1.5, 2.0, Grade.KEEP_AN_EYE_ON),
        (0.2, 0.01, 1.0, 2.0, Grade.IN_ORDER),
        (0.2, 0.01, 9.0, None, Grade.IN_ORDER),
    ],
)
def test_traction_is_graded_by_margin_noise_and_wear(margin, sd, depth, limit, grade):
    found = grading.of_margin(
        margin=margin, margin_sd=sd, depth_mm=depth, limit_mm=limit
    )

    assert found == grade


@pytest.mark.parametrize(
    ("drafts", "grade"),
    [
        ([], Grade.NOT_ASSESSED),
        ([draft(Grade.IN_ORDER)], Grade.IN_ORDER),
        ([draft(Grade.IN_ORDER), draft(Grade.NOT_ASSESSED)], Grade.IN_ORDER),
        (
            [draft(Grade.IN_ORDER), draft(Grade.NOT_ASSESSED, "traction")],
            Grade.NOT_ASSESSED,
        ),
        (
            [draft(Grade.PLAN_WORK), draft(Grade.NOT_ASSESSED, "traction")],
            Grade.PLAN_WORK,
        ),
        ([draft(Grade.KEEP_AN_EYE_ON), draft(Grade.ACT_NOW)], Grade.ACT_NOW),
    ],
)
def test_machine_takes_its_most_urgent_finding_and_is_not_in_order_blind(drafts, grade):
    assert grading.of_machine(drafts, complete=True) == grade


def test_equal_gaps_of_several_places_are_told_once():
    gaps = [
        not_assessed(
            topic=Topic.BROKEN_WIRES,
            reason=missing(Term.BREAKS_COUNT),
            place=f"rope {n}",
        )
        for n in (1, 2, 3)
    ]

    assert [d.place for d in merged(gaps)] == ["rope 1, 2, 3"]


@pytest.mark.parametrize(
    ("places", "told"),
    [
        (
            ("groove 1 and 4", "groove 2 and 5", "groove 3 and 6"),
            ["groove 1 and 4, 2 and 5, 3 and 6"],
        ),
        (("hub", "bearing"), ["hub", "bearing"]),
        (("groove 1", "rope 1", "groove 2"), ["groove 1, 2", "rope 1"]),
        (("", ""), [""]),
    ],
)
def test_no_place_is_lost_where_equal_gaps_are_told_once(places, told):
    gaps = [
        not_assessed(topic=Topic.PAIR, reason=missing(Term.CAR_MASS), place=place)
        for place in places
    ]

    assert [draft.place for draft in merged(gaps)] == told


def test_what_lies_between_other_ends_is_told_apart():
    """The answer at the first place would else stand for one that is open."""
    within = Over(answer=Answer.WITHIN, worst=0.3, best=0.6)
    opened = Over(answer=Answer.OPEN, worst=-0.1, best=0.6)
    told = [
        replace(
            not_assessed(
                topic=Topic.TRACTION, reason=missing(Term.CAR_MASS), place=place
            ),
            over=over,
        )
        for place, over in (
            ("groove 1", within),
            ("groove 2", opened),
            ("groove 3", within),
        )
    ]

    assert [(d.place, d.over) for d in merged(told)] == [
        ("groove 1, 3", within),
        ("groove 2", opened),
    ]


def test_kernel_records_become_plain_values():
    found = plain({"rouge": Rouge.HEAVY, "set": (1.0, float("nan")), "no": None})

    assert found == {"rouge": 2, "set": [1.0, None], "no": None}
