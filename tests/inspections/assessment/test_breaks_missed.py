"""What a count by eye may have missed: 40 counted is not 40 there are."""

import pytest

from inspections.assessment import grading
from inspections.engineering.answer import Answer
from inspections.models import Grade
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import found, snapshot, take

# EN set, eight strands, breaks spread over all strands: at most 30 in a lay.
LIMIT = 30.0


def counted(number):
    seen = [
        take("breaks_total", float(number), rope=1, window="lay"),
        take("breaks_distribution", word="even", rope=1, window="lay"),
        take("rouge", word="none", rope=1),
        take("wires_worn_or_rusted", word="none", rope=1),
    ]
    (draft,) = [
        each
        for each in found(snapshot(*seen), Topic.BROKEN_WIRES, "rope 1")
        if each.limit == LIMIT
    ]
    return draft


@pytest.mark.parametrize("number", [22, 25, 28, 30])
def test_a_count_near_its_limit_is_open_and_never_within(number):
    draft = counted(number)

    assert (draft.grade, draft.over.answer) == (Grade.KEEP_AN_EYE_ON, Answer.OPEN)
    assert draft.over.best == LIMIT - number
    assert draft.over.worst == pytest.approx(LIMIT - number / 0.7)
    assert draft.over.decides == "breaks_missed_share"
    assert f"it may be {number / 0.7:.0f}" in str(draft.reason)


@pytest.mark.parametrize("number", [0, 10, 20])
def test_a_count_far_from_its_limit_is_within(number):
    draft = counted(number)

    assert (draft.grade, draft.answer) == (Grade.IN_ORDER, "WITHIN")


def test_a_count_past_its_limit_is_graded_as_it_is():
    draft = counted(31)

    assert (draft.grade, draft.answer) == (Grade.ACT_NOW, "BEYOND")
    assert draft.stops_service


def test_the_nearer_the_limit_the_likelier_it_is_passed():
    chances = [counted(number).over.chance for number in (22, 25, 28, 30)]

    assert chances == sorted(chances)
    assert 0.0 < chances[0] < grading.OPEN_CHANCE < chances[1]
    assert chances[-1] > 0.9
