"""Seat depths at which the rim's metal is used up; the numbers are worked by hand."""

from datetime import date
from math import hypot, sqrt

import pytest

from inspections.assessment import knowing, rim_limits, wear_limits
from inspections.assessment.assessing import judge
from inspections.assessment.draft import LimitDraft
from inspections.inputs import noise
from inspections.models import Grade
from tests.inspections.assessment.snapshots import (
    BEFORE,
    ROUND,
    TODAY,
    UNDERCUT,
    diameters,
    one,
    snapshot,
    take,
)

AS_NEW = date(2020, 2, 1)


def bottoms(depth, **rest):
    return [take("groove_bottom_depth", depth, groove=n, **rest) for n in range(1, 6)]


def survey(**rest):
    return [
        take("rim_thickness", 30.0, axial_mm=mm, mark=mark, over="land", **rest)
        for mm in ("5", "110")
        for mark in ("A", "B", "C", "D")
    ]


def rim(
    *,
    geometry=ROUND,
    minimum=10.0,
    cut_on=None,
    bottoms_on=TODAY,
    machine=None,
    **sheave,
):
    """Return a rim of 30 mm over the land, bottoms 16 mm down, seats sunk 0.6 mm."""
    heights = [
        take("rope_crown_height", height, groove=n, on=day)
        for day, height in ((AS_NEW, 3.0), (TODAY, 2.4))
        for n in range(1, 6)
    ]
    return snapshot(
        *diameters(13.0, on=AS_NEW),
        *diameters(13.0),
        *heights,
        *[
            take("groove_bottom_depth", 16.0, groove=n, on=bottoms_on)
            for n in range(1, 6)
        ],
        *survey(),
        take("underside_runout", 0.0),
        geometry=geometry,
        machine=machine,
        sheave={"minimum_rim_mm": minimum} | sheave,
        **({"cut_on": cut_on} if cut_on else {}),
    )


def limits(of):
    return rim_limits.of_round_grooves(knowing.know(of))


def test_seat_may_sink_by_the_metal_above_the_makers_least():
    found = limits(rim())

    # 30 - 16 = 14 mm under the bottom, 4 more than the least; the seat is at 0.6.
    assert [limit.place for limit in found] == [f"groove {n}" for n in range(1, 6)]
    assert [limit.value for limit in found] == pytest.approx([4.6] * 5, abs=1e-6)
    assert {limit.quantity for limit in found} == {"seat_depth"}
    assert all(limit.safety for limit in found)


def test_limit_is_no_surer_than_what_it_rests_on():
    found = limits(rim())[2]

    # Groove 3 lies in the middle of eight readings of one noise: their mean at least,
    # with the depth of the bottom and the seat's own.
    thickness = noise.NOISE_MM["rim_thickness"] / sqrt(8)
    bottom = noise.NOISE_MM["groove_bottom_depth"]
    assert found.sd >= hypot(thickness, bottom)
    assert found.dominated_by == "rim_thickness_mm"


def test_forecast_reads_it_where_no_traction_case_binds_before():
    light = {"rated_load_kg": 300.0}

    _drafts, found, _shared = judge(rim(machine=light))

    by_place = {(each.quantity, each.place): each for each in found}
    assert by_place["seat_depth", "groove 3"].reason == "RIM_METAL"
    assert len(by_place) == len(found)


def test_metal_below_the_least_ends_before_a_traction_case_that_binds():
    _drafts, found, _shared = judge(rim(minimum=20.0, machine={"rated_load_kg": 300.0}))

    assert {
        (each.value, each.reason) for each in found if each.place == "groove 3"
    } == {(wear_limits.LEAST_MM, "RIM_METAL")}


def test_over_a_slot_the_rope_meets_the_bottom_before_the_metal():
    assert limits(rim(geometry=UNDERCUT)) == []


@pytest.mark.parametrize(
    "lacking",
    [
        {"minimum": None},
        {"bottoms_on": BEFORE},
        {"rim_construction": "BOLTED"},
        {"cut_on": date(2026, 5, 10)},
    ],
)
def test_without_one_of_its_parts_there_is_none(lacking):
    assert limits(rim(**lacking)) == []


def test_where_only_the_seat_lacks_that_is_said():
    of = rim(bottoms_on=BEFORE)

    draft = one(of, "date of the least metal")

    assert draft.grade == Grade.NOT_ASSESSED
    assert str(draft.reason).startswith("missing: the depth of the seat")
    assert str(draft.reason).endswith("of groove 1, 2, 3, 4, 5")


@pytest.mark.parametrize("lacking", [{}, {"minimum": None}, {"geometry": UNDERCUT}])
def test_nothing_is_said_of_the_date_where_it_is_known_or_more_lacks(lacking):
    drafts, _limits, _shared = judge(rim(**lacking))

    assert "date of the least metal" not in {draft.topic for draft in drafts}


def test_of_two_limits_the_less_sure_one_may_be_met_first():
    sure, unsure = (
        LimitDraft(
            quantity="seat_depth", place="groove 1", value=value, sd=sd, reason=reason
        )
        for value, sd, reason in ((2.0, 0.1, "BRAKING_FULL"), (2.3, 0.4, "RIM_METAL"))
    )

    # Two deviations low, 1.8 against 1.5 mm.
    assert list(rim_limits.first([sure], [unsure])) == [unsure]


def test_first_limit_of_a_place_binds():
    traction = [
        LimitDraft(
            quantity="seat_depth",
            place=place,
            value=value,
            sd=0.1,
            reason="BRAKING_FULL",
        )
        for place, value in (("groove 1", 2.0), ("groove 2", 9.0))
    ]

    found = list(rim_limits.first(traction, limits(rim())))

    assert {each.place: each.reason for each in found} == {
        "groove 1": "BRAKING_FULL",
        **{f"groove {n}": "RIM_METAL" for n in range(2, 6)},
    }


class TestAfterACut:
    def test_bottoms_read_before_it_are_not_those_of_now(self):
        draft = one(rim(cut_on=date(2026, 1, 10), bottoms_on=BEFORE), "rim metal")

        assert draft.grade == Grade.NOT_ASSESSED
        assert "depth of the groove bottoms" in str(draft.reason)

    def surveyed_before(self, depth):
        return snapshot(
            *diameters(13.0),
            *bottoms(depth),
            *survey(on=BEFORE),
            take("underside_runout", 0.0),
            geometry=ROUND,
            sheave={"minimum_rim_mm": 10.0},
            cut_on=date(2026, 1, 10),
        )

    def test_survey_from_before_it_clears_neither_rim_nor_next_cut(self):
        of = self.surveyed_before(16.0)

        assert one(rim(cut_on=date(2026, 1, 10)), "rim metal").grade == Grade.IN_ORDER
        draft = one(of, "rim metal")
        assert draft.grade == Grade.NOT_ASSESSED
        assert draft.value is not None
        assert "a rim survey since the grooves were last cut" in str(draft.reason)
        assert one(of, "room for a cut").grade == Grade.NOT_ASSESSED

    def test_rim_too_thin_before_it_stays_so(self):
        assert one(self.surveyed_before(22.0), "rim metal").grade == Grade.ACT_NOW
