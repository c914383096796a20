"""What comes into a visit: pressing things first, the time kept, nothing lost."""

import doctest

from hypothesis import given
from hypothesis import strategies as st

from inspections.worklist import ordering
from inspections.worklist.ordering import Candidate, Why, choose


def candidate(code, minutes, *reasons, position=0, weight=0, worth=0.0):
    return Candidate(
        code=code,
        minutes=minutes,
        position=position,
        weight=weight,
        worth=worth,
        reasons=reasons,
    )


def codes(candidates):
    return [each.code for each in candidates]


def test_its_example_holds():
    assert doctest.testmod(ordering).failed == 0


def test_the_most_pressing_comes_in_and_the_order_of_doing_is_kept():
    found = choose(
        [
            candidate("first", 10, Why.INTERVAL_OVER, position=0),
            candidate("second", 10, Why.HELD, position=1),
            candidate("third", 10, Why.NOT_ASSESSED, position=2),
        ],
        minutes=20,
    )

    assert codes(found.done) == ["second", "third"]
    assert codes(found.left) == ["first"]


def test_among_equals_the_weightier_comes_in():
    found = choose(
        [
            candidate("crowns", 10, Why.NEVER_READ, Why.NEVER_READ, weight=3),
            candidate("slip", 10, Why.NEVER_READ, position=1),
        ],
        minutes=10,
    )

    assert codes(found.done) == ["slip"]


def test_what_a_measurement_would_decide_comes_before_any_other_reason():
    found = choose(
        [
            candidate("due", 10, Why.FORECAST_DUE, worth=0.02, position=0),
            candidate("decides", 10, Why.OPEN, worth=0.3, position=1),
            candidate("waits", 10, Why.HELD, position=2),
            candidate("missed", 10, Why.CHECK_MISSED, worth=0.05, position=3),
        ],
        minutes=30,
    )

    assert codes(found.done) == ["decides", "waits", "missed"]
    assert codes(found.left) == ["due"]


def test_what_acts_as_if_true_is_measured_whatever_the_time():
    found = choose(
        [
            candidate("unsafe", 150, Why.UNCONFIRMED, position=1),
            candidate("other", 3, Why.HELD),
        ],
        minutes=10,
    )

    assert codes(found.done) == ["unsafe"]
    assert found.minutes == 150
    assert codes(found.left) == ["other"]


def test_what_is_not_due_is_not_there():
    found = choose([candidate("idle", 1)], minutes=100)

    assert found.done == found.left == ()


_CANDIDATES = st.lists(
    st.builds(
        Candidate,
        code=st.text(),
        minutes=st.integers(1, 200),
        position=st.integers(0, 20),
        weight=st.integers(0, 4),
        worth=st.floats(0.0, 1.0),
        reasons=st.lists(st.sampled_from(Why), min_size=1, max_size=5).map(tuple),
    ),
    max_size=12,
)


@given(candidates=_CANDIDATES, minutes=st.integers(1, 600))
def test_nothing_due_is_lost_and_the_time_is_kept(candidates, minutes):
    found = choose(candidates, minutes=minutes)

    assert sorted(map(id, (*found.done, *found.left))) == sorted(map(id, candidates))
    must = sum(each.minutes for each in candidates if each.must)
    assert found.minutes <= max(minutes, must)
    positions = [each.position for each in found.done]
    assert positions == sorted(positions)
    assert not any(each.must for each in found.left)


@given(candidates=_CANDIDATES, minutes=st.integers(1, 600))
def test_what_is_left_would_not_have_fitted(candidates, minutes):
    found = choose(candidates, minutes=minutes)

    room = minutes - found.minutes
    assert all(each.minutes > room for each in found.left)
