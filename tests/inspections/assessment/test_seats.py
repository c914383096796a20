"""Findings on the seats: clearance, fit, hardened layer, spread, ways of measuring."""

from dataclasses import replace
from datetime import date

import pytest

from fleet.models import Work
from inspections.assessment.assessing import judge
from inspections.models import Gauge, Grade
from tests.inspections.assessment.snapshots import (
    BEFORE,
    UNDERCUT,
    WRAPPED,
    V,
    diameters,
    found,
    one,
    snapshot,
    take,
    worn,
)

FINE = Gauge(pk=1, code="fine", repeatability_mm=0.01, resolution_mm=0.01)


def limits(of, quantity="seat_depth"):
    return [limit for limit in judge(of)[1] if limit.quantity == quantity]


class TestClearance:
    @pytest.mark.parametrize(
        ("clearance", "grade"),
        [
            (0.5, Grade.PLAN_WORK),
            (0.49, Grade.ACT_NOW),
            (0.7, Grade.PLAN_WORK),
            (1.1, Grade.KEEP_AN_EYE_ON),
            (3.0, Grade.IN_ORDER),
        ],
    )
    def test_is_graded_by_what_is_left_to_half_a_millimetre(self, clearance, grade):
        draft = one(snapshot(*worn(clearance)), "bottom clearance", "groove 2")

        assert draft.grade == grade
        assert draft.margin == pytest.approx(clearance - 0.5)
        assert draft.stops_service == (grade == Grade.ACT_NOW)

    def test_is_worked_out_from_depth_crown_and_rope(self):
        of = snapshot(
            *diameters(12.8),
            take("groove_bottom_depth", 14.0, groove=1),
            take("rope_crown_height", 1.2, groove=1, mark="A"),
        )

        assert one(of, "bottom clearance").value == pytest.approx(14.0 + 1.2 - 12.8)

    def test_is_told_where_traction_lacks_its_masses(self):
        of = snapshot(*worn(0.4), machine={"car_mass_kg": None})

        assert {d.grade for d in found(of, "bottom clearance")} == {Grade.ACT_NOW}

    def test_gives_a_limit_without_masses(self):
        rows = limits(snapshot(*worn(2.0), machine={"car_mass_kg": None}))

        assert [row.value for row in rows] == [3.5] * 5
        assert {row.reason for row in rows} == {"BOTTOMING"}


class TestSeatFit:
    def gauged(self, fit, radius, **rest):
        return take("seat_gauge_fit", radius, groove=1, fit=fit, **rest)

    def test_pinched_rope_stops_traction_and_renewing_ropes_alone(self):
        of = snapshot(*worn(2.0), self.gauged("go", 6.3), machine=WRAPPED)

        assert one(of, "seat fit", "groove 1").grade == Grade.PLAN_WORK
        assert one(of, "traction", "groove 1").grade == Grade.NOT_ASSESSED
        assert "pinched at the mouth" in str(one(of, "traction", "groove 1").reason)
        assert "pinched in seats" in str(one(of, "renewing ropes alone").reason)
        assert len(found(of, "traction")) == 5

    def test_pinched_groove_keeps_the_limit_of_its_bottom(self):
        rows = limits(snapshot(*worn(2.0), self.gauged("go", 6.3)))

        assert "groove 1" in {row.place for row in rows}

    def test_loose_rope_is_a_note_that_asks_for_a_slip_test(self):
        of = snapshot(*worn(2.0), self.gauged("go", 7.1), machine=WRAPPED)

        draft = one(of, "seat fit", "groove 1")
        assert draft.grade == Grade.KEEP_AN_EYE_ON
        assert "a slip test is asked for" in str(draft.reason)
        assert one(of, "traction", "groove 1").grade != Grade.NOT_ASSESSED

    def test_a_record_of_every_case_answers_the_note_and_a_word_does_not(self):
        seat = (*worn(2.0), self.gauged("go", 7.1))
        word = take("slip_seen", word="no", visit_kind="SLIP_TEST")
        runs = [
            take("traction_test", word="held", case="125 % static", load_kg=1250.0),
            *(
                take(
                    "traction_test",
                    word="held",
                    case=case,
                    load_kg=load_kg,
                    speed_m_s=1.6,
                    slid_mm=2.0,
                    stopping_mm=1500.0,
                )
                for case, load_kg in (
                    ("empty car up", 0.0),
                    ("loaded car down", 1000.0),
                )
            ),
        ]

        told = one(snapshot(*seat, word), "seat fit", "groove 1")
        recorded = one(snapshot(*seat, *runs), "seat fit", "groove 1")

        assert told.grade == Grade.KEEP_AN_EYE_ON
        assert recorded.grade == Grade.IN_ORDER

    def test_tight_and_loose_gauges_bracket_the_radius(self):
        of = snapshot(
            *worn(2.0), self.gauged("tight", 6.75), self.gauged("loose", 6.65)
        )

        assert one(of, "seat fit").detail["seat_radius_mm"] == pytest.approx(6.7)

    def test_gauges_that_contradict_each_other_are_said_in_the_kernels_words(self):
        of = snapshot(*worn(2.0), self.gauged("tight", 6.5), self.gauged("loose", 6.7))

        draft = one(of, "seat fit")
        assert draft.grade == Grade.NOT_ASSESSED
        assert "loose_radius_mm is 6.7; it must be below" in str(draft.reason)

    def test_new_ropes_in_worn_grooves_ask_for_the_gauge(self):
        of = snapshot(*worn(2.0), rope_set={"fitted_on": date(2024, 1, 1)})

        assert "missing: the seat's radius by gauge" in str(one(of, "seat fit").reason)


class TestHardenedLayer:
    def banded(self, width):
        bands = [
            take("seat_band_width", width, groove=n, flank=flank)
            for n in range(1, 6)
            for flank in ("left", "right")
        ]
        return [*diameters(), *bands]

    def test_worn_through_is_work_to_plan(self):
        of = snapshot(*self.banded(3.6), geometry=V | {"hardened_depth_mm": 0.5})

        draft = one(of, "hardened layer")
        assert draft.grade == Grade.PLAN_WORK
        assert draft.margin < 0.0

    def test_v_without_undercut_is_told_what_the_standard_says(self):
        geometry = V | {"hardened_depth_mm": 0.5, "flat_bottom_width_mm": 0.0}

        draft = one(snapshot(*self.banded(3.6), geometry=geometry), "hardened layer")
        assert "a V that is not hardened must have an undercut" in str(draft.reason)

    @pytest.mark.parametrize("depth_mm", [0.0, None])
    def test_v_that_nobody_hardened_must_have_an_undercut(self, depth_mm):
        rows = self.banded(1.0)
        flat = V | {"hardened_depth_mm": depth_mm}
        slot = flat | {
            "slot_width_mm": 4.0,
            "slot_depth_mm": 3.0,
            "flat_bottom_width_mm": None,
        }

        draft = one(snapshot(*rows, geometry=flat), "hardened layer")
        assert draft.answer == ("" if depth_mm is None else "BEYOND")
        assert not draft.stops_service
        assert draft.reason
        assert not found(snapshot(*rows, geometry=slot), "hardened layer")

    def test_thick_layer_is_in_order_and_none_is_not_told(self):
        thick = snapshot(*self.banded(2.0), geometry=V)

        assert one(thick, "hardened layer").grade == Grade.IN_ORDER
        assert not found(snapshot(*worn(2.0)), "hardened layer")


class TestSeatsOfTheSet:
    def uneven(self, *clearances, gauge=None):
        rows = [
            take("bottom_clearance", value, groove=n, gauge=gauge)
            for n, value in enumerate(clearances, 1)
        ]
        return snapshot(*diameters(gauge=gauge), *rows)

    def test_difference_within_noise_is_in_order(self):
        draft = one(self.uneven(2.0, 2.1, 1.9, 2.0, 2.1), "seat depths in the set")

        assert draft.grade == Grade.IN_ORDER
        assert str(draft.reason) == "within what gauge error explains"

    def test_difference_beyond_noise_is_told_with_what_it_feeds(self):
        of = self.uneven(2.0, 2.0, 2.0, 2.0, 1.0, gauge=FINE)

        draft = one(of, "seat depths in the set")
        # 2 x 1.0/600 of 30 m: by hand.
        assert draft.detail["feed"]["per_trip_mm"] == pytest.approx(100.0)
        assert draft.grade == Grade.KEEP_AN_EYE_ON
        assert draft.value == pytest.approx(100.0 / 13.0)

    def test_a_seat_that_was_not_read_may_be_the_one_that_differs(self):
        draft = one(self.uneven(2.0, 2.1, 1.9, 2.0), "seat depths in the set")

        assert draft.grade == Grade.NOT_ASSESSED
        assert "no seat depth" in str(draft.reason)

    def test_uneven_seats_block_equalising(self):
        of = self.uneven(2.0, 2.0, 2.0, 2.0, 1.0, gauge=FINE)

        assert str(one(of, "equalising").reason).startswith(
            "blocked: grooves of different"
        )


class TestWaysOfMeasuring:
    def both(self, crown_fall, clearance):
        as_new = replace_on(
            BEFORE_CUT, take("rope_crown_height", 3.0, groove=1, mark="A")
        )
        return snapshot(
            *diameters(on=BEFORE_CUT, gauge=FINE),
            as_new,
            *diameters(gauge=FINE),
            take("rope_crown_height", 3.0 - crown_fall, groove=1, mark="A", gauge=FINE),
            take("bottom_clearance", clearance, groove=1, gauge=FINE),
            cut_on=BEFORE_CUT,
        )

    def test_that_disagree_are_told_and_the_deeper_is_judged(self):
        of = self.both(2.5, 3.0)

        draft = one(of, "ways of measuring the seat", "groove 1")
        assert draft.grade == Grade.KEEP_AN_EYE_ON
        traction = one(of, "traction", "groove 1")
        assert traction.detail["seat_depths_mm"] == [pytest.approx(2.5)]
        assert traction.detail["seat_routes"] == ["CROWN_HEIGHT"]

    def test_that_agree_are_not_told(self):
        assert not found(self.both(1.0, 3.0), "ways of measuring the seat")


BEFORE_CUT = date(2024, 1, 15)


def replace_on(day, taken):
    return replace(taken, on=day, gauge=FINE)


class TestWrongWay:
    def crowns(self, first, second, works=()):
        return snapshot(
            *diameters(on=BEFORE),
            *diameters(),
            take("rope_crown_height", first, groove=1, mark="A", on=BEFORE),
            take("rope_crown_height", second, groove=1, mark="A"),
            works=works,
        )

    def test_crown_that_rose_is_asked_about(self):
        draft = one(self.crowns(1.0, 1.8), "crown height", "groove 1")

        assert draft.grade == Grade.NOT_ASSESSED
        assert "debris in the slot or an unrecorded renewal" in str(draft.reason)

    def test_crown_that_rose_after_new_ropes_is_not(self):
        work = Work(pk=1, kind="ROPING", done_on=date(2025, 9, 1))

        assert not found(self.crowns(1.0, 1.8, works=(work,)), "crown height")

    def test_noise_is_not_asked_about(self):
        assert not found(self.crowns(1.0, 1.3), "crown height")

    @pytest.mark.parametrize(
        ("kinds", "asked"),
        [
            ({"bottom_clearance": 6.0}, True),
            ({"bottom_clearance": 4.3}, False),
            ({"groove_bottom_depth": 21.0, "rope_crown_height": 1.0}, True),
            ({"groove_bottom_depth": 16.4, "rope_crown_height": 1.0}, False),
        ],
    )
    def test_clearance_that_the_groove_as_cut_has_not_is_asked_about(
        self, kinds, asked
    ):
        taken = [take(kind, value, groove=1) for kind, value in kinds.items()]
        of = snapshot(*diameters(), *taken)

        drafts = found(of, "crown height")
        assert bool(drafts) is asked
        for draft in drafts:
            assert (draft.place, draft.grade) == ("groove 1", Grade.NOT_ASSESSED)
            assert "more than the 4.00 mm of the groove as cut" in str(draft.reason)

    def test_rope_that_got_thicker_is_asked_about_and_not_in_order(self):
        of = snapshot(*diameters(12.6, on=BEFORE), *diameters(13.0))

        assert "corrosion of the core" in str(found(of, "rope got thicker")[0].reason)
        told = one(of, "rope diameter", "rope 1")
        assert told.grade == Grade.KEEP_AN_EYE_ON
        assert "corrosion of the core" in str(told.reason)

    def test_a_rope_is_no_better_for_being_read_thinner(self):
        drawn = [
            draft
            for last in (13.0, 12.9, 12.8, 12.7, 12.5)
            for draft in found(
                snapshot(*diameters(12.67, on=BEFORE), *diameters(last)),
                "rope diameter",
            )
        ]

        assert {draft.answer for draft in drawn} == {"WITHIN"}
        assert Grade.NOT_ASSESSED not in {draft.grade for draft in drawn}

    def test_thin_rope_that_got_thicker_is_still_condemned(self):
        of = snapshot(*diameters(11.0, on=BEFORE), *diameters(11.5))

        assert {d.grade for d in found(of, "rope diameter")} == {Grade.ACT_NOW}


class TestLimits:
    def test_error_of_the_clearance_as_cut_is_not_counted_twice(self):
        rows = limits(snapshot(*worn(2.0)))

        assert {row.dominated_by for row in rows} != {"bottom_clearance_mm"}

    def test_limit_is_given_for_every_groove_of_a_double_wrap(self):
        of = snapshot(
            *diameters(),
            *[take("bottom_clearance", 2.0, groove=n) for n in range(1, 11)],
            double=True,
            geometry=UNDERCUT,
            machine={"wrap": "DOUBLE", "wrap_angle_deg": 320.0},
        )

        assert len(limits(of)) == 10
