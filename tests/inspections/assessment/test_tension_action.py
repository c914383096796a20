"""Tensions that are acted on, whatever they were read with."""

import pytest

from inspections.models import Grade
from inspections.reasons import Code, Topic
from tests.inspections.assessment.snapshots import (
    BEFORE,
    found,
    one,
    snapshot,
    take,
)

ACTION = Topic.ROPE_TENSION


def acted(of):
    """Return what asks for equalising, without what is only watched."""
    return [draft for draft in found(of, ACTION) if draft.grade == Grade.PLAN_WORK]


def read(values, kind="rope_tension", position="bottom", on=None, **place):
    rest = {"on": on} if on else {}
    return [
        take(kind, value, rope=n, side="car", car_position=position, **rest, **place)
        for n, value in enumerate(values, 1)
    ]


def grades(*readings):
    return {draft.grade for draft in acted(snapshot(*readings))}


def test_a_slack_rope_among_others_asks_for_equalising():
    drafts = acted(snapshot(*read([800.0, *[4000.0] * 4])))

    assert {draft.grade for draft in drafts} == {Grade.PLAN_WORK}
    assert len(drafts) == 2  # too wide a spread, and slack
    for draft in drafts:
        codes = {draft.reason.code, *(also.code for also in draft.reason.also)}
        assert Code.EQUALISE in codes


def test_a_rope_that_reads_nothing_is_no_better_than_a_slack_one():
    assert grades(*read([0.0, *[4000.0] * 4])) == {Grade.PLAN_WORK}


def test_less_in_one_rope_never_looks_better():
    told = [
        bool(grades(*read([low, *[4000.0] * 4])))
        for low in (4000.0, 3500.0, 3000.0, 2500.0, 2000.0, 800.0, 100.0, 0.0)
    ]

    assert told == sorted(told)
    assert not told[0]
    assert told[-1]


def test_equal_ropes_ask_for_nothing():
    assert grades(*read([4000.0, 4100.0, 4200.0, 4050.0, 4150.0])) == set()


def test_a_later_visit_that_read_some_ropes_only_clears_nothing():
    slack = read([800.0, *[4000.0] * 4], on=BEFORE)

    assert grades(*slack, *read([4000.0, 4000.0])) == {Grade.PLAN_WORK}


def test_a_later_visit_that_read_them_all_does():
    slack = read([800.0, *[4000.0] * 4], on=BEFORE)

    assert grades(*slack, *read([4000.0] * 5)) == set()


def test_shares_read_later_are_not_hidden_by_forces_of_before():
    even = read([4000.0] * 5, on=BEFORE)
    later = read([0.3, *[1.1] * 4], kind="tension_index")

    assert grades(*even, *later) == {Grade.PLAN_WORK}
    assert all(
        "tension_indices" in d.detail for d in found(snapshot(*even, *later), ACTION)
    )


def test_the_worse_end_of_the_travel_counts():
    assert grades(
        *read([4000.0] * 5), *read([800.0, *[4000.0] * 4], position="top")
    ) == {Grade.PLAN_WORK}


class TestByWave:
    def test_the_force_goes_with_the_square_of_the_speed(self):
        # Ten returns in 2 s against 1.5 s: (2/1.5)^2 - 1 = 77.8 %.
        of = snapshot(*read([2.0, 1.5, 1.5, 1.5, 1.5], kind="wave_time"))

        [spread] = [d for d in acted(of) if d.value > 60.0]
        assert spread.value == pytest.approx(100.0 * (16.0 / 9.0 - 1.0))

    def test_returns_that_were_told_are_counted(self):
        same = [
            take(
                "wave_time",
                time,
                rope=n,
                side="car",
                car_position="top",
                round_trips=trips,
            )
            for n, (time, trips) in enumerate(
                [(2.0, "10"), (1.0, "5"), (2.0, "10"), (0.6, "3"), (2.0, "10")], 1
            )
        ]

        assert grades(*same) == set()
        assert one(snapshot(*same), "rope tension").value == pytest.approx(
            0.0, abs=1e-9
        )


class TestBySprings:
    def test_a_spring_that_is_longer_is_less_loaded(self):
        # 20 mm pressed against 50 mm, unloaded 200 mm.
        of = read([180.0, *[150.0] * 4], kind="spring_length", free_length_mm=200.0)

        [slack] = [d for d in acted(snapshot(*of)) if d.limit == 50.0]
        assert slack.value == pytest.approx(100.0 * 20.0 / 44.0)

    def test_without_the_free_length_only_what_is_beyond_anyway_is_told(self):
        assert grades(*read([180.0, *[150.0] * 4], kind="spring_length")) == set()
        assert grades(*read([180.0, *[100.0] * 4], kind="spring_length")) == {
            Grade.PLAN_WORK
        }


class TestCrownStep:
    def test_a_step_over_the_spread_of_seats_is_watched(self):
        wide = one(snapshot(take("rope_crown_step", 1.6, groove=3)), Topic.CROWN_STEP)
        small = one(snapshot(take("rope_crown_step", 0.4, groove=3)), Topic.CROWN_STEP)

        assert (wide.grade, wide.place) == (Grade.KEEP_AN_EYE_ON, "groove 3")
        assert small.grade == Grade.IN_ORDER

    def test_a_smaller_one_later_clears_nothing(self):
        of = snapshot(
            take("rope_crown_step", 1.6, groove=3, on=BEFORE),
            take("rope_crown_step", 0.2, groove=3),
        )

        assert one(of, Topic.CROWN_STEP).grade == Grade.KEEP_AN_EYE_ON
