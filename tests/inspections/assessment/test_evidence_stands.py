"""What cannot heal stands as far as later independent readings leave it, everywhere."""

from datetime import date
from typing import Any

import pytest

from inspections.assessment import rim_survey, rope_seen
from inspections.inputs import groove_cut, groove_seats, worst_depth
from inspections.models import Gauge, Grade
from tests.inspections.assessment.snapshots import (
    BEFORE,
    V,
    diameters,
    found,
    one,
    snapshot,
    take,
    worn,
)

YEARS = [date(year, 5, 4) for year in (2022, 2023, 2024, 2025)]
FIRST = {"person": 1, "gauge": Gauge(pk=1, code="g-1")}
OTHER = {"person": 2, "gauge": Gauge(pk=2, code="g-2")}
BAD = (Grade.PLAN_WORK, Grade.ACT_NOW)


class TestRim:
    PLACES = [(mm, mark) for mm in ("5", "110") for mark in ("A", "B", "C", "D")]

    def survey(self, mm, places=PLACES, **rest):
        return [
            take("rim_thickness", mm, axial_mm=at, mark=mark, over="land", **rest)
            for at, mark in places
        ]

    def rim(self, *readings, bottom_mm=18.0, runout_mm=1.0, **rest):
        return snapshot(
            *worn(3.0, on=YEARS[0]),
            *[
                take("groove_bottom_depth", bottom_mm, groove=n, on=YEARS[0])
                for n in range(1, 6)
            ],
            take("underside_runout", runout_mm, on=YEARS[0]),
            *[each for some in readings for each in some],
            sheave={"minimum_rim_mm": 18.0},
            **rest,
        )

    def test_a_later_survey_that_reads_more_clears_nothing(self):
        thin = self.survey(36.0, on=YEARS[1])

        alone = one(self.rim(thin), "rim metal")
        later = one(self.rim(thin, self.survey(60.0, on=YEARS[2])), "rim metal")

        assert alone.grade in BAD
        assert (later.grade, later.value) == (alone.grade, alone.value)

    def test_a_later_survey_of_other_places_clears_nothing(self):
        thin = self.survey(36.0, on=YEARS[1])
        places = [("6", "A"), ("60", "A"), ("112", "B")]
        later = self.survey(60.0, places=places, on=YEARS[2])

        alone, both = (one(self.rim(*x), "rim metal") for x in ((thin,), (thin, later)))

        assert both.grade == alone.grade
        assert both.value <= alone.value

    def test_two_later_surveys_by_others_at_the_same_marks_bound_it(self):
        stray = self.survey(36.0, on=YEARS[1], **FIRST)
        later = [self.survey(60.0, on=day, **OTHER) for day in YEARS[2:]]

        assert one(self.rim(stray, later[0]), "rim metal").grade in BAD
        assert one(self.rim(stray, *later), "rim metal").grade == Grade.IN_ORDER
        same = [self.survey(60.0, on=day, **FIRST) for day in YEARS[2:]]
        assert one(self.rim(stray, *same), "rim metal").grade in BAD

    def test_a_survey_after_the_cut_ends_what_was_read_before(self):
        before = self.survey(36.0, on=YEARS[0])
        after = self.survey(60.0, on=YEARS[2])
        bottoms = [
            take("groove_bottom_depth", 18.0, groove=n, on=YEARS[2])
            for n in range(1, 6)
        ]

        of = self.rim(before, after, bottoms, cut_on=YEARS[1])

        assert one(of, "rim metal").grade == Grade.IN_ORDER

    def test_a_run_out_read_less_later_stays(self):
        wide = one(self.rim(self.survey(41.0), runout_mm=3.0), "rim metal")
        less = take("underside_runout", 0.2)

        both = one(self.rim(self.survey(41.0), [less], runout_mm=3.0), "rim metal")

        assert both.value == wide.value
        small = one(self.rim(self.survey(41.0), runout_mm=0.2), "rim metal")
        assert both.value < small.value - 1.0

    def test_a_bottom_read_less_deep_later_stays(self):
        less = [take("groove_bottom_depth", 16.0, groove=n) for n in range(1, 6)]

        deep = one(self.rim(self.survey(41.0)), "rim metal")
        both = one(self.rim(self.survey(41.0), less), "rim metal")

        assert both.value == deep.value

    def test_worse_is_never_better_whatever_was_read_before(self):
        last: float = 1e9
        for mm in (60.0, 48.0, 40.0, 37.0, 34.0):
            read = self.rim(self.survey(44.0, on=YEARS[1]), self.survey(mm))
            value = one(read, "rim metal").value
            assert value <= last
            last = value
        assert last < 18.0


class TestDirectionsNotToldApart:
    def thinnest(self, *values):
        read = [take("rope_diameter", value, rope=1, station="top") for value in values]
        of = snapshot(*read)
        seen = rope_seen.of_rope(of, of.ropes[0])
        return min(d for each in seen.observations for d in each.diameters_mm)

    @pytest.mark.parametrize(
        ("values", "thinnest"),
        [
            ((12.0, 12.4), 12.0),
            # A single stray among three is outvoted, two of four are not.
            ((11.0, 12.4, 12.5), 12.4),
            ((12.0, 12.1, 12.4, 12.5), 12.1),
            ((12.3,), 12.3),
        ],
    )
    def test_the_thinner_of_two_is_no_thicker_for_its_pair(self, values, thinnest):
        assert self.thinnest(*values) == pytest.approx(thinnest)

    def test_thinner_is_never_thicker(self):
        for rest in ((12.4,), (12.4, 12.6), (12.2, 12.4, 12.6)):
            found = [self.thinnest(x / 10.0, *rest) for x in range(130, 110, -1)]
            assert found == sorted(found, reverse=True)

    def test_it_condemns_the_rope_where_the_smaller_decides(self):
        of = snapshot(
            *[take("rope_diameter", mm, rope=1, station="top") for mm in (12.0, 12.8)]
        )

        assert one(of, "rope diameter", "rope 1").grade == Grade.ACT_NOW


class TestSeatMarks:
    def depth_mm(self, *read):
        of = snapshot(*diameters(on=YEARS[0]), *read, geometry=V)
        seats = groove_seats(of, groove=groove_cut(of))
        found = worst_depth(of, seats=seats[of.grooves[0].pk])
        return found.seat.sunk_mm

    def bands(self, mm, day, mark, by):
        return [
            take("seat_band_width", mm, groove=1, flank=flank, on=day, mark=mark, **by)
            for flank in ("left", "right")
        ]

    def test_only_the_same_mark_bounds_a_deep_reading(self):
        deep = self.bands(6.0, YEARS[0], "A", FIRST)
        later: dict[str, list[Any]] = {
            mark: [
                *self.bands(3.0, YEARS[1], mark, OTHER),
                *diameters(on=YEARS[1], **OTHER),
                *self.bands(3.0, YEARS[2], mark, OTHER),
                *diameters(on=YEARS[2], **OTHER),
            ]
            for mark in ("A", "C")
        }

        alone = self.depth_mm(*deep)

        assert self.depth_mm(*deep, *later["C"]) == alone
        assert self.depth_mm(*deep, *later["A"]) < alone - 0.3

    def test_a_stray_repeat_at_a_mark_is_outvoted_by_two(self):
        steady = self.bands(3.0, YEARS[0], "A", FIRST)
        one_stray = [*steady, *steady, *self.bands(6.0, YEARS[0], "A", FIRST)]

        assert self.depth_mm(*one_stray) == pytest.approx(self.depth_mm(*steady))


def test_a_thin_survey_before_the_cut_is_not_the_rim_of_now():
    of = snapshot(
        take("rim_thickness", 36.0, axial_mm="5", mark="A", over="land", on=BEFORE)
    )

    [read] = rim_survey.land_readings(of, of.need_sheave())

    assert read.value == 36.0


class TestWhatIsAdjusted:
    """The worst of the last visit counts, in whatever order it was read."""

    @pytest.mark.parametrize("values", [(20.0, 200.0), (200.0, 20.0)])
    @pytest.mark.parametrize("kind", ["cwt_runby", "car_runby"])
    def test_the_least_run_by_of_a_visit(self, kind, values):
        topic = "counterweight run-by" if kind == "cwt_runby" else "car run-by"
        of = snapshot(*[take(kind, value) for value in values])

        assert one(of, topic).value == 20.0

    def test_a_later_visit_ends_what_was_adjusted(self):
        of = snapshot(take("cwt_runby", 20.0, on=BEFORE), take("cwt_runby", 200.0))

        assert one(of, "counterweight run-by").value == 200.0

    @pytest.mark.parametrize("values", [(1.2, 1.6, 1.9), (1.9, 1.6, 1.2)])
    def test_both_ends_of_the_speeds_of_a_visit(self, values):
        of = snapshot(*[take("travel_speed", value) for value in values])

        told = found(of, "car speed")
        assert [draft.grade in BAD for draft in told] == [True, True]
