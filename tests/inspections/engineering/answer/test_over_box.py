from math import cos
from random import Random

import pytest

from inspections.engineering.answer import (
    Answer,
    Axis,
    Behaviour,
    answer_of,
    judge_over,
)
from inspections.engineering.answer.axis import from_spread
from inspections.engineering.answer.chance import Move, chance_beyond
from inspections.engineering.answer.evaluations import (
    Evaluations,
)
from inspections.engineering.answer.extremes import both_ends, extreme
from inspections.engineering.validity import OutsideValidity


def axis(name="x", low=-1.0, typical=0.0, high=1.0, group=""):
    return Axis(name=name, low=low, typical=typical, high=high, group=group)


def judged(axes, margin, told=None):
    return judge_over(
        axes=axes, criteria=("a",), margins=lambda at: {"a": margin(at)}, told=told
    )[0]


@pytest.mark.parametrize(
    ("worst", "best", "answer"),
    [
        (-2.0, -0.1, Answer.BEYOND),
        (0.0, 1.0, Answer.WITHIN),
        (-0.1, 0.0, Answer.OPEN),
        (None, 1.0, Answer.OPEN),
        (-1.0, None, Answer.OPEN),
    ],
)
def test_answer_is_beyond_or_within_only_where_both_ends_say_so(worst, best, answer):
    assert answer_of(worst_margin=worst, best_margin=best) is answer


def test_ends_the_wrong_way_round_are_refused():
    with pytest.raises(OutsideValidity, match="at most best_margin"):
        answer_of(worst_margin=1.0, best_margin=0.0)


def test_nothing_unknown_costs_one_evaluation():
    seen = Evaluations(axes=(), margins=lambda at: {"a": -0.1})

    found = judge_over(axes=(), margins=seen.at, criteria=("a",), seen=seen)[0]

    assert seen.count == 1
    assert found.answer is Answer.BEYOND
    assert found.chance_beyond == 1.0
    assert found.decides_most == ""


def test_ends_are_those_of_the_corners_whatever_the_directions():
    axes = (axis("x"), axis("y", 0.0, 1.0, 4.0), axis("z"))

    found = judged(axes, lambda at: 3 * at["x"] - 2 * at["y"] + at["x"] * at["z"])

    assert found.best_margin == 4.0
    assert dict(found.best_at) == {"x": 1.0, "y": 0.0, "z": 1.0}
    # With x at its low end z works the other way round.
    assert found.worst_margin == -12.0
    assert dict(found.worst_at) == {"x": -1.0, "y": 4.0, "z": 1.0}


def test_told_directions_cost_no_search():
    told = {("a", "x"): Behaviour.RISING, ("a", "y"): Behaviour.FALLING}
    seen = Evaluations(
        axes=(axis("x"), axis("y")), margins=lambda at: {"a": at["x"] - at["y"]}
    )

    found = judge_over(
        axes=seen.axes, margins=seen.at, criteria=("a",), told=told, seen=seen
    )[0]

    assert (found.worst_margin, found.best_margin) == (-2.0, 2.0)
    assert seen.count == 1 + 2 * 2 + 2


def test_hump_inside_is_searched_for():
    told = {("a", "x"): Behaviour.SEARCH}

    found = judged((axis(),), lambda at: 0.2 - (at["x"] - 0.37) ** 2, told)

    assert found.best_margin == pytest.approx(0.2, abs=1e-5)
    assert found.worst_margin == pytest.approx(0.2 - 1.37**2)


def test_turning_values_are_looked_at_and_those_outside_are_not():
    told = {("a", "x"): lambda at: (0.25, 9.0)}

    found = judged((axis(),), lambda at: -abs(at["x"] - 0.25), told)

    assert found.best_margin == 0.0


def test_place_where_the_method_does_not_hold_leaves_the_answer_open():
    def margin(at):
        if at["x"] > 0.5:
            raise OutsideValidity(name="x", value=at["x"], rule="at most 0.5")
        return 1.0

    found = judged((axis(),), margin)

    assert found.answer is Answer.OPEN
    assert not found.holds_throughout


def test_method_that_holds_nowhere_is_open_and_never_ranked_harmless():
    def margin(at):
        raise OutsideValidity(name="x", value=at["x"], rule="another")

    found = judged((axis(),), margin)

    assert found.answer is Answer.OPEN
    assert found.worst_margin is None
    assert found.chance_beyond == 1.0


def test_group_that_brings_most_together_decides():
    axes = (axis("car", group="masses"), axis("balance", group="masses"), axis("wrap"))

    found = judged(axes, lambda at: at["car"] + at["balance"] + 1.2 * at["wrap"])

    assert found.decides_most == "masses"


def test_chance_is_that_of_triangular_unknowns():
    random = Random(7)
    axes = (axis("x", -1.0, 0.2, 1.0), axis("y", -0.5, 0.0, 0.8), axis("z", 0, 0, 2))

    def margin(at):
        return 0.3 + at["x"] - 0.7 * at["y"] + 0.1 * at["z"]

    drawn = [
        margin({a.name: random.triangular(a.low, a.high, a.typical) for a in axes})
        for _ in range(40_000)
    ]

    found = judged(axes, margin)

    share = sum(each < 0.0 for each in drawn) / len(drawn)
    assert found.chance_beyond == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize("margin", [-0.8, -0.1, 0.0, 0.1, 0.7, 1.5])
def test_chance_with_one_unknown_is_exact(margin):
    move = Move(name="x", at_low=-1.0, at_high=1.0, low_share=0.5)
    expected = {-0.8: 0.98, -0.1: 0.595, 0.0: 0.5, 0.1: 0.405, 0.7: 0.045, 1.5: 0.0}

    found = chance_beyond(typical_margin=margin, moves=(move,))

    assert found == pytest.approx(expected[margin])


@pytest.mark.parametrize("seed", range(12))
def test_ten_thousand_random_places_never_leave_the_ends_which_are_reached(seed):
    random = Random(seed)
    axes = tuple(
        axis(f"x{i}", 0.0, random.random(), 1.0) for i in range(random.randint(1, 5))
    )
    slopes = [random.uniform(-1, 1) for _ in axes]
    bends = [random.uniform(0, 1) for _ in axes]
    level = random.uniform(-0.5, 0.5)

    def margin(at):
        return level + sum(
            slope * at[a.name]
            + (1.0 - cos(bend * at[a.name])) * (1 if slope > 0 else -1)
            for a, slope, bend in zip(axes, slopes, bends, strict=True)
        )

    found = judged(axes, margin)

    drawn = [margin({a.name: random.random() for a in axes}) for _ in range(10_000)]
    assert min(drawn) >= found.worst_margin
    assert max(drawn) <= found.best_margin
    assert margin(dict(found.worst_at)) == found.worst_margin
    assert margin(dict(found.best_at)) == found.best_margin


def test_reading_becomes_a_range_of_two_deviations_that_keeps_its_least():
    found = from_spread(name="depth_mm", value=0.2, sd=0.3, least=0.0)

    assert (found.low, found.typical, found.high) == pytest.approx((0.0, 0.2, 0.8))


def test_typical_outside_its_range_is_refused():
    with pytest.raises(OutsideValidity, match="typical x"):
        axis(typical=2.0)


def test_both_ends_are_those_that_are_looked_for_one_by_one():
    chance = Random(3)
    axes = tuple(axis(name) for name in "xyz")
    told = {
        ("a", "x"): Behaviour.SEARCH,
        ("a", "y"): lambda at: (0.3, at["x"]),
    }
    for _ in range(40):
        a, b, c, d = (chance.uniform(-1.0, 1.0) for _ in range(4))

        def margins(at, a=a, b=b, c=c, d=d):
            bend = b * abs(at["y"] - 0.3) + c * at["y"] * at["z"]
            return {"a": a * (at["x"] - 0.4) ** 2 + bend + d * at["z"]}

        seen = Evaluations(axes=axes, margins=margins)

        found = both_ends(seen=seen, criterion="a", told=told)

        assert found == tuple(
            extreme(
                seen=Evaluations(axes=axes, margins=margins),
                criterion="a",
                told=told,
                sign=sign,
            )
            for sign in (-1.0, 1.0)
        )
