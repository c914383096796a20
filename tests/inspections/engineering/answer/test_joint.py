from random import Random

import pytest

from inspections.engineering.answer import (
    Answer,
    Axis,
    answer_jointly,
    judge_over,
)
from inspections.engineering.answer.evaluations import (
    Evaluations,
)


def jointly(axes, margins, criteria):
    seen = Evaluations(axes=axes, margins=margins)
    single = judge_over(axes=axes, margins=margins, criteria=criteria, seen=seen)
    found = answer_jointly(
        seen=seen,
        criteria=criteria,
        told=dict,
        single=tuple(each.answer for each in single),
    )
    return found, [each.answer for each in single]


def axis(name="x", low=0.0, typical=0.5, high=1.0):
    return Axis(name=name, low=low, typical=typical, high=high)


def test_two_open_criteria_that_no_value_satisfies_are_beyond_together():
    found, single = jointly(
        (axis(),), lambda at: {"a": at["x"] - 0.6, "b": 0.4 - at["x"]}, ("a", "b")
    )

    assert single == [Answer.OPEN, Answer.OPEN]
    assert found.answer is Answer.BEYOND
    assert found.least_margin < 0.0


def test_narrow_window_that_satisfies_both_is_found():
    found, _ = jointly(
        (axis(),), lambda at: {"a": at["x"] - 0.60, "b": 0.62 - at["x"]}, ("a", "b")
    )

    assert found.answer is Answer.OPEN
    assert found.least_margin >= 0.0
    assert 0.60 <= dict(found.at)["x"] <= 0.62


def test_one_criterion_beyond_makes_all_beyond():
    found, _ = jointly((axis(),), lambda at: {"a": -1.0, "b": at["x"]}, ("a", "b"))

    assert found.answer is Answer.BEYOND


def test_all_within_is_within():
    found, _ = jointly((axis(),), lambda at: {"a": 1.0, "b": at["x"]}, ("a", "b"))

    assert found.answer is Answer.WITHIN


@pytest.mark.parametrize("seed", range(20))
def test_beyond_is_said_only_where_no_random_value_satisfies_all(seed):
    random = Random(seed)
    axes = tuple(axis(f"x{i}") for i in range(4))
    slopes = {name: [random.uniform(-1, 1) for _ in axes] for name in ("a", "b", "c")}
    levels = {name: random.uniform(-0.6, 0.3) for name in slopes}

    def margins(at):
        return {
            name: levels[name]
            + sum(s * at[a.name] for s, a in zip(slopes[name], axes, strict=True))
            for name in slopes
        }

    found, _ = jointly(axes, margins, ("a", "b", "c"))

    satisfied = any(
        min(margins({a.name: random.random() for a in axes}).values()) >= 0.0
        for _ in range(10_000)
    )
    if satisfied:
        assert found.answer is not Answer.BEYOND
    if found.answer is Answer.BEYOND:
        assert not satisfied
