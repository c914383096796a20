"""A later visit that reads only part of the set makes nothing look better."""

from datetime import date

import pytest

from inspections.models import Grade
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import (
    BEFORE,
    UNDERCUT,
    diameters,
    found,
    one,
    snapshot,
    take,
)

LONG_AGO = date(2024, 5, 4)
EVEN = (4000.0, 4000.0, 4000.0, 4000.0, 4000.0)
UNEVEN = (4000.0, 4000.0, 4000.0, 4000.0, 4900.0)


def clearances(*values, **rest):
    """Return diameters and a clearance in each groove; None is not read."""
    return [
        *diameters(**rest),
        *(
            take("bottom_clearance", value, groove=n, **rest)
            for n, value in enumerate(values, 1)
            if value is not None
        ),
    ]


def tensions(*values, position="bottom", **rest):
    """Return a tension of each rope at the car's side; None is not read."""
    return [
        take("rope_tension", value, rope=n, side="car", car_position=position, **rest)
        for n, value in enumerate(values, 1)
        if value is not None
    ]


class TestSeatDepths:
    DEEP = (2.0, 3.0, 3.0, 3.0, 3.0)
    LEVEL = (3.0, 3.0, 3.0, 3.0, 3.0)

    @pytest.mark.parametrize(
        "later", [(None, 3.0, 3.0, 3.0, 3.0), (2.0, None, None, None, None)]
    )
    def test_unequal_seats_stay_so_where_only_some_are_read_again(self, later):
        of = snapshot(*clearances(*self.DEEP, on=BEFORE), *clearances(*later))

        draft = one(of, Topic.SEAT_DEPTHS)
        assert draft.grade == Grade.KEEP_AN_EYE_ON
        assert len(draft.detail["seat_depths_mm"]) == 5

    def test_seats_that_some_of_which_differ_now_count_as_read_now(self):
        later = (2.0, 3.0, None, None, None)
        of = snapshot(*clearances(*self.LEVEL, on=BEFORE), *clearances(*later))

        draft = one(of, Topic.SEAT_DEPTHS)
        assert draft.grade == Grade.KEEP_AN_EYE_ON
        assert len(draft.detail["seat_depths_mm"]) == 2

    @pytest.mark.parametrize("read", [1, 2, 4])
    def test_equal_seats_of_before_are_not_equal_now_where_some_were_not_read(
        self, read
    ):
        later = (*self.LEVEL[:read], *[None] * (5 - read))
        of = snapshot(*clearances(*self.LEVEL, on=BEFORE), *clearances(*later))

        assert one(of, Topic.SEAT_DEPTHS).grade == Grade.NOT_ASSESSED

    def test_seats_that_differ_little_are_open_where_one_was_not_read(self):
        little = (2.2, 3.0, 3.0, 3.0)
        all_read, one_not = clearances(*little, 3.0), clearances(*little)

        within = one(snapshot(*all_read), Topic.SEAT_DEPTHS)
        draft = one(snapshot(*one_not), Topic.SEAT_DEPTHS)

        assert within.grade == draft.grade == Grade.KEEP_AN_EYE_ON
        assert (within.answer, draft.answer) == ("WITHIN", "OPEN")
        assert "no seat depth" in str(draft.reason)

    def test_seats_that_differed_little_are_open_where_only_some_are_read_again(self):
        before = clearances(2.2, 3.0, 3.0, 3.0, 3.0, on=BEFORE)
        of = snapshot(*before, *clearances(*self.LEVEL[:2]))

        assert one(of, Topic.SEAT_DEPTHS).answer == "OPEN"

    @pytest.mark.parametrize("clearance_mm", [3.0, 2.9, 2.6, 2.2])
    def test_seats_of_a_groove_that_was_not_registered_are_never_within(
        self, clearance_mm
    ):
        of = snapshot(
            *clearances(clearance_mm, *self.LEVEL[1:]),
            geometry=UNDERCUT | {"seat_radius_mm": None},
        )

        assert one(of, Topic.SEAT_DEPTHS).answer != "WITHIN"

    def test_seats_that_differ_much_are_beyond_whatever_was_not_read(self):
        draft = one(snapshot(*clearances(0.6, 3.0, 3.0)), Topic.SEAT_DEPTHS)

        assert draft.answer == "BEYOND"

    def test_beyond_of_before_is_not_open_where_less_is_read_again(self):
        before = clearances(0.6, 3.0, 3.0, 3.0, 3.0, on=BEFORE)
        of = snapshot(*before, *clearances(2.2, 3.0))

        assert one(of, Topic.SEAT_DEPTHS).answer == "BEYOND"

    def test_beyond_stands_until_all_are_read_again(self):
        level, of_two = clearances(*self.LEVEL, on=LONG_AGO), (0.6, 3.0)
        of = snapshot(*level, *clearances(*of_two, on=BEFORE), *clearances(2.9, 3.0))

        assert one(of, Topic.SEAT_DEPTHS).answer == "BEYOND"

    def test_seats_all_read_again_are_judged_by_that(self):
        of = snapshot(*clearances(*self.DEEP, on=BEFORE), *clearances(*[2.0] * 5))

        assert one(of, Topic.SEAT_DEPTHS).grade == Grade.IN_ORDER


class TestTensions:
    @pytest.mark.parametrize("later", [(*EVEN[:3], None, None), (4000.0,)])
    def test_a_spread_stays_where_only_some_ropes_are_read_again(self, later):
        of = snapshot(*tensions(*UNEVEN, on=BEFORE), *tensions(*later))

        told = found(of, Topic.ROPE_TENSION)
        standing = [d for d in told if d.grade == Grade.KEEP_AN_EYE_ON]
        assert standing
        assert {len(d.detail["tensions_n"]) for d in standing} == {5}
        assert Grade.IN_ORDER not in {d.grade for d in told}

    def test_even_ropes_of_before_are_not_even_now_where_some_were_not_read(self):
        of = snapshot(*tensions(*EVEN, on=BEFORE), *tensions(*EVEN[:3]))

        told = found(of, Topic.ROPE_TENSION)
        assert {d.grade for d in told} == {Grade.NOT_ASSESSED}

    def test_ropes_all_read_again_are_judged_by_that(self):
        of = snapshot(*tensions(*UNEVEN, on=BEFORE), *tensions(*EVEN))

        told = found(of, Topic.ROPE_TENSION)
        assert {d.grade for d in told} == {Grade.IN_ORDER}

    @pytest.mark.parametrize("later", [EVEN, EVEN[:3]])
    def test_a_swing_stays_where_only_one_place_is_read_again(self, later):
        steep = (4000.0, 4000.0, 4000.0, 4000.0, 6000.0)
        of = snapshot(
            *tensions(*steep, on=BEFORE),
            *tensions(*steep[::-1], position="top", on=BEFORE),
            *tensions(*later),
        )

        assert one(of, Topic.TENSION_SWING).grade == Grade.PLAN_WORK
        assert found(of, Topic.EQUALISING)

    def test_no_swing_of_before_is_no_answer_where_one_place_is_read_again(self):
        of = snapshot(
            *tensions(*EVEN, on=BEFORE),
            *tensions(*EVEN, position="top", on=BEFORE),
            *tensions(*EVEN),
        )

        assert one(of, Topic.TENSION_SWING).grade == Grade.NOT_ASSESSED

    def test_no_swing_is_no_answer_where_a_rope_was_not_read(self):
        of = snapshot(
            *tensions(*EVEN[:4]),
            *tensions(*EVEN[:4], position="top"),
        )

        assert one(of, Topic.TENSION_SWING).grade == Grade.NOT_ASSESSED
