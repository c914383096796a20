"""Findings on ropes as built, pressure, creep, pairs, the register, what was seen."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fleet.models import Work
from inspections.inputs.origins import Origin
from inspections.models import Gauge, Grade
from tests.inspections.assessment.snapshots import (
    BEFORE,
    ROUND,
    TODAY,
    V,
    diameters,
    found,
    on_every_rope,
    one,
    snapshot,
    take,
    worn,
)

FINE = Gauge(pk=1, code="fine", repeatability_mm=0.005, resolution_mm=0.01)


class TestPressure:
    def test_is_information_with_its_source_named(self):
        draft = one(snapshot(*worn(4.0)), "groove pressure")

        # 95 degrees: 11.0904 x T/(n d D); limit (12.5 + 4 v)/(1 + v), as quoted.
        force_n = draft.detail["rope_force_n"]
        assert draft.value == pytest.approx(11.0904 * force_n / (13 * 600), rel=1e-4)
        assert draft.limit == pytest.approx(7.269231)
        assert draft.grade == Grade.IN_ORDER
        assert "EN 81-1:1985" in draft.source

    def test_never_asks_for_more_than_an_eye(self):
        heavy = {"car_mass_kg": 6000.0, "rated_load_kg": 4000.0}

        draft = one(snapshot(*worn(4.0), machine=heavy), "groove pressure")
        assert draft.margin < 0.0
        assert draft.grade == Grade.KEEP_AN_EYE_ON

    def test_has_no_value_as_worn_without_a_seat_depth(self):
        draft = one(snapshot(), "groove pressure")

        assert draft.detail["as_worn_mpa"] is None
        assert draft.place == ""


class TestStrength:
    def test_factor_counts_the_whole_hung_weight(self):
        draft = one(snapshot(), "rope safety factor")

        # (1200 + 1000) kg and five ropes of 30 m: 86.19 kg, with F_min 74.28 kN.
        hung_n = (2200 + 30 * 5 * 0.57460) * 9.81
        assert draft.detail["load"]["suspended_load_n"] == pytest.approx(hung_n, 1e-4)
        assert draft.value == pytest.approx(5 * 74_274 / hung_n, rel=1e-3)

    def test_below_what_is_required_is_work_to_plan(self):
        heavy = {"car_mass_kg": 6000.0, "rated_load_kg": 4000.0}

        draft = one(snapshot(machine=heavy), "rope safety factor")
        assert draft.grade == Grade.PLAN_WORK

    def test_small_sheave_is_worth_an_eye_and_no_wear(self):
        small = ROUND | {"pitch_diameter_mm": 500.0}

        draft = one(snapshot(geometry=small), "sheave over rope diameter")
        assert draft.grade == Grade.KEEP_AN_EYE_ON
        assert draft.value == pytest.approx(500 / 13)

    def test_missing_grade_is_said(self):
        draft = one(snapshot(rope_set={"outer_grade_mpa": None}), "rope safety factor")

        assert "rope grade" in str(draft.reason)


class TestCreep:
    def marks(self, offset, runs=3, load="empty", frame="kept", **rest):
        return [
            take(
                "rope_mark_offset",
                offset,
                rope=1,
                travel="round trip",
                load=load,
                frame_mark=frame,
            )
            for _ in range(runs)
        ]

    def test_within_elastic_creep_is_in_order(self):
        draft = one(snapshot(*worn(4.0), *self.marks(8.0)), "creep over the sheave")

        assert draft.grade == Grade.IN_ORDER
        assert draft.detail["found"]["largest_mm"] == 8.0

    def test_far_beyond_creep_noise_and_floor_is_slip_and_stops(self):
        of = snapshot(*worn(4.0), *self.marks(90.0))

        draft = one(of, "creep over the sheave")
        assert draft.grade == Grade.ACT_NOW
        assert draft.stops_service
        assert str(one(of, "lubricating").reason).startswith("blocked: no lubricant")

    def test_two_runs_are_not_enough_to_be_in_order(self):
        of = snapshot(*worn(4.0), *self.marks(8.0, runs=2))

        draft = one(of, "creep over the sheave")
        assert draft.grade == Grade.NOT_ASSESSED
        assert str(draft.reason).startswith(
            "offsets_mm is 2; it must be 3 runs or more"
        )

    @pytest.mark.parametrize(
        ("marks", "rope_set"),
        [
            ({"runs": 1}, {}),
            ({"load": "rated"}, {}),
            ({"frame": "moved"}, {}),
            ({"runs": 2, "load": "rated"}, {"modulus_mpa": None}),
        ],
    )
    def test_half_a_metre_is_slip_whatever_is_missing(self, marks, rope_set):
        of = snapshot(*worn(4.0), *self.marks(500.0, **marks), rope_set=rope_set)

        draft = one(of, "creep over the sheave")
        assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)
        assert draft.answer == "BEYOND"

    def test_half_a_metre_is_slip_without_masses_and_seats(self):
        of = snapshot(*self.marks(500.0), machine={"car_mass_kg": None})

        assert one(of, "creep over the sheave").grade == Grade.ACT_NOW

    def test_offsets_up_and_down_do_not_cancel(self):
        up, down = self.marks(300.0, runs=1), self.marks(-300.0, runs=1)
        of = snapshot(*worn(4.0), *up, *down, *self.marks(5.0, runs=1))

        draft = one(of, "creep over the sheave")
        assert (draft.grade, draft.value) == (Grade.ACT_NOW, 300.0)

    def test_smaller_offsets_later_clear_nothing(self):
        earlier = [replace(each, on=BEFORE) for each in self.marks(300.0)]
        of = snapshot(*worn(4.0), *earlier, *self.marks(5.0))

        assert one(of, "creep over the sheave").grade == Grade.ACT_NOW

    def test_sheave_that_moved_against_its_frame_is_a_brake_matter_too(self):
        of = snapshot(*worn(4.0), *self.marks(90.0, frame="moved"))

        assert "brake" in str(one(of, "creep over the sheave").reason)

    def test_unknown_modulus_is_told_where_it_decides(self):
        def offset(mm):
            return one(
                snapshot(*worn(4.0), *self.marks(mm), rope_set={"modulus_mpa": None}),
                "creep over the sheave",
            )

        small, between = offset(8.0), offset(12.0)
        assert (small.grade, small.answer) == (Grade.IN_ORDER, "WITHIN")
        assert (between.grade, between.answer) == (Grade.NOT_ASSESSED, "OPEN")
        assert "modulus" in str(between.reason)
        assert between.over.decides == "rope_stiffness"
        assert [each.name for each in between.over.unknowns] == ["modulus_any_core_mpa"]
        assert between.over.worst < 0.0 < between.over.best


class TestPair:
    def machine(self, first, second, pulleys=None, gauge=FINE, **rope_set):
        secondary = {
            "kind": "SECONDARY",
            "diameter_mm": 600.0,
            "offset_x_mm": 700.0,
            "drop_h_mm": 500.0,
        }
        heights = [
            take("rope_crown_height", value, groove=n, mark="A", on=day, gauge=gauge)
            for day, depths in (
                (date(2020, 2, 1), (0.0, 0.0)),
                (date(2026, 5, 4), (first, second)),
            )
            for n, value in ((1, 3 - depths[0]), (2, 3 - depths[1]))
        ]
        return snapshot(
            *diameters(13.2, on=date(2020, 2, 1), gauge=gauge),
            *diameters(13.2, gauge=gauge),
            *heights,
            geometry=ROUND,
            double=True,
            machine={"wrap": "DOUBLE", "wrap_angle_deg": 320.0},
            pulleys=(secondary,) if pulleys is None else pulleys,
            rope_set=rope_set,
        )

    def test_of_unequal_grooves_is_work_to_plan(self):
        draft = one(self.machine(0.2, 0.8), "pair of grooves", "groove 1 and 2")

        assert draft.grade == Grade.PLAN_WORK
        assert draft.margin < 0.0

    def test_within_the_scatter_is_not_called_equal(self):
        draft = one(
            self.machine(0.2, 0.21, gauge=None), "pair of grooves", "groove 1 and 2"
        )

        assert draft.grade == Grade.NOT_ASSESSED
        assert "cannot tell a difference" in str(draft.reason)

    @pytest.mark.parametrize(
        ("rest", "words"),
        [
            ({"pulleys": ()}, "the secondary sheave"),
            ({"modulus_mpa": None}, "modulus"),
        ],
    )
    def test_says_what_it_lacks(self, rest, words):
        of = self.machine(0.2, 0.8, **rest)

        assert words in str(one(of, "pair of grooves", "groove 1 and 2").reason)


class TestRegister:
    def test_heavier_car_as_weighed_is_used_where_it_gives_the_smaller_margin(self):
        plain = one(snapshot(*worn(4.0)), "traction", "groove 1")
        of = snapshot(*worn(4.0), take("balance_load", 0.60))

        told = one(of, "register against readings")
        assert told.grade == Grade.KEEP_AN_EYE_ON
        assert told.detail["used"] == "the reading"
        assert told.detail["least_margins"][1] < told.detail["least_margins"][0]
        # One case no longer closes as new, which is said of that case alone.
        apart = one(of, "traction, one load case", "groove 1")
        assert (apart.grade, apart.stops_service) == (Grade.PLAN_WORK, False)
        assert str(apart.reason).startswith("braking with the empty car")
        assert plain.grade != Grade.NOT_ASSESSED

    def test_reading_that_flatters_does_not_replace_the_register(self):
        plain = one(snapshot(*worn(4.0)), "traction", "groove 1")
        of = snapshot(*worn(4.0), take("car_mass", 1500.0))

        assert one(of, "register against readings").detail["used"] == "the register"
        assert one(of, "traction", "groove 1").margin == plain.margin

    @pytest.mark.parametrize(
        ("read_kg", "used", "carried_kg"),
        [(1500.0, "the register", 1500.0), (900.0, "the reading", 1200.0)],
        ids=["heavier", "lighter"],
    )
    def test_what_only_weight_makes_worse_is_judged_with_the_heavier_car(
        self, read_kg, used, carried_kg
    ):
        registered = snapshot(*worn(4.0), machine={"car_mass_kg": carried_kg})
        of = snapshot(*worn(4.0), take("car_mass", read_kg))

        assert one(of, "register against readings").detail["used"] == used
        for topic in ("rope safety factor", "groove pressure"):
            given, wanted = one(of, topic), one(registered, topic)
            assert (given.value, given.grade) == (wanted.value, wanted.grade)
        heavier = read_kg == carried_kg
        assert bool(one(of, "rope safety factor").readings) == heavier

    def test_readings_that_differ_are_taken_as_they_are_worst_together(self):
        read = (take("car_mass", 1000.0), take("balance_load", 0.60))
        of = snapshot(*worn(4.0), *read)
        may_be = [
            snapshot(*worn(4.0), machine={"car_mass_kg": kg, "balance_ratio": ratio})
            for kg in (1200.0, 1000.0)
            for ratio in (0.45, 0.60)
        ]

        least = [one(each, "traction", "groove 1").margin for each in may_be]
        assert one(of, "traction", "groove 1").margin == pytest.approx(min(least))

    def test_agreement_is_not_told(self):
        of = snapshot(*worn(4.0), take("car_mass", 1210.0), take("balance_load", 0.46))

        assert not found(of, "register against readings")


class TestSeen:
    def test_not_seen_is_never_pass(self):
        of = snapshot(take("check", word="not seen", part="crack"))

        draft = one(of, "check", "crack")
        assert (draft.grade, str(draft.reason)) == (
            Grade.NOT_ASSESSED,
            "could not be seen",
        )

    @pytest.mark.parametrize(
        ("kind", "word", "topic"),
        [
            ("slip_seen", "yes", "rope slip"),
            ("brake_slide_seen", "yes", "brake"),
        ],
    )
    def test_slip_and_brake_slide_stop_service(self, kind, word, topic):
        draft = one(snapshot(take(kind, word=word)), topic)

        assert draft.grade == Grade.ACT_NOW
        assert draft.stops_service

    @pytest.mark.parametrize(
        ("error", "grade"),
        [
            (-8.0, Grade.IN_ORDER),
            (-20.0, Grade.KEEP_AN_EYE_ON),
            (40.0, Grade.PLAN_WORK),
        ],
    )
    def test_levelling_is_graded_by_size_whatever_its_sign(self, error, grade):
        of = snapshot(take("levelling_error", error, floor="3"))

        assert one(of, "levelling").grade == grade

    @pytest.mark.parametrize(
        ("then", "said", "counts"),
        [(40.0, 0.0, 40.0), (2.0, 40.0, 40.0)],
        ids=["talked down", "made worse"],
    )
    def test_what_another_says_of_a_reading_is_no_later_visit(self, then, said, counts):
        of = snapshot(
            take("levelling_error", then, floor="1", on=BEFORE, person=1),
            take("levelling_error", said, floor="1", person=2),
        )
        of.readings[1].corrects_id = of.readings[0].pk

        assert one(of, "levelling").value == counts

    def test_a_correction_is_no_later_visit_though_its_original_is_set_aside(self):
        of = snapshot(
            take("levelling_error", 40.0, floor="1", on=BEFORE, person=1),
            take("levelling_error", 4.0, floor="1", person=2),
        )
        # It corrects what an earlier visit read, and that is set aside.
        of.readings[1].corrects_id = 9000
        vars(of.readings[1])["origin"] = Origin(
            visit_id=9001, taken_at=of.readings[0].taken_at - timedelta(days=30)
        )

        assert one(of, "levelling").value == 40.0

    def test_a_later_visit_ends_what_was_adjusted(self):
        of = snapshot(
            take("levelling_error", 40.0, floor="1", on=BEFORE, person=1),
            take("levelling_error", 1.0, floor="2", person=2),
            take("levelling_error", 3.0, floor="1", person=2),
        )
        of.readings[2].corrects_id = of.readings[0].pk

        # What the correction says was said at the later visit, too.
        assert one(of, "levelling").value == 3.0


class TestTension:
    @pytest.mark.parametrize("said", [4000.0, 6000.0])
    def test_what_another_says_of_a_tension_makes_it_no_more_equal(self, said):
        then = [4000.0, 4000.0, 4000.0, 4000.0, 10000.0 - said]
        at = {"side": "car", "car_position": "bottom"}
        of = snapshot(
            *[
                take("rope_tension", value, rope=n, on=BEFORE, person=1, **at)
                for n, value in enumerate(then, 1)
            ],
            take("rope_tension", said, rope=5, person=2, **at),
        )
        of.readings[5].corrects_id = of.readings[4].pk

        told = found(of, "rope tension")
        assert {d.detail["tensions_n"][-1] for d in told} == {6000.0}

    def test_of_two_readings_of_a_rope_the_less_equal_counts(self):
        """90 of 120 is less equal than 112 of 120, though 112 is further off 100."""
        at = {"side": "car", "car_position": "bottom"}
        read = [(1, 90.0), (1, 112.0), (2, 100.0), (3, 100.0), (4, 120.0), (5, 100.0)]
        of = snapshot(*[take("rope_tension", v, rope=n, **at) for n, v in read])

        told = found(of, "rope tension")
        assert {min(d.detail["tensions_n"]) for d in told} == {90.0}

    def test_swing_over_noise_is_work_to_plan_and_blocks_equalising(self):
        bottom = [4000.0, 4000.0, 4000.0, 4000.0, 6000.0]
        readings = [
            take("rope_tension", value, rope=n, side="car", car_position=position)
            for position, values in (("bottom", bottom), ("top", bottom[::-1]))
            for n, value in enumerate(values, 1)
        ]
        of = snapshot(*readings)

        assert one(of, "tension swing").grade == Grade.PLAN_WORK
        assert found(of, "equalising")

    def test_nobodys_second_number_takes_a_swing_away(self):
        at = {"side": "car"}
        readings = [
            take("rope_tension", value, rope=n, car_position=position, **at)
            for position, first in (("bottom", 3000.0), ("top", 5500.0))
            for n, value in enumerate([first, *[4000.0] * 4], 1)
        ]
        # Less equal than what was read first, and as much as the rope carries above.
        second = take("rope_tension", 5500.0, rope=1, car_position="bottom", **at)

        for of in (snapshot(*readings), snapshot(*readings, second)):
            assert one(of, "tension swing").grade == Grade.PLAN_WORK

    def test_no_rope_read_at_both_places_is_no_swing(self):
        at = {"side": "car"}
        readings = [
            take("rope_tension", 4000.0, rope=n, car_position=position, **at)
            for n, position in ((1, "bottom"), (1, "bottom"), (2, "top"))
        ]

        swing = one(snapshot(*readings), "tension swing")
        assert swing.grade == Grade.NOT_ASSESSED

    @pytest.mark.parametrize("unread", [(), (5,), (1, 5)])
    def test_a_spread_past_its_limit_is_told_wherever_it_was_read(self, unread):
        uneven = [4000.0, 4000.0, 4000.0, 4000.0, 4900.0]
        of = snapshot(
            *[
                take("rope_tension", value, rope=n, side="car", car_position=position)
                for position, values in (("bottom", [4000.0] * 5), ("top", uneven))
                for n, value in enumerate(values, 1)
                if position == "top" or n not in unread
            ]
        )

        told = found(of, "rope tension")
        assert {d.place for d in told if d.margin and d.margin < 0.0} == {
            "car at the top"
        }
        assert unread or "car at the bottom" in {d.place for d in told}

    def test_nothing_read_is_said(self):
        assert str(one(snapshot(), "rope tension").reason) == "missing: rope tensions"

    def test_shares_of_a_clamp_gauge_are_judged_and_not_called_newtons(self):
        readings = [
            take("tension_index", value, rope=n, side="car", car_position="top")
            for n, value in enumerate((1.0, 1.0, 1.0, 1.0, 1.3), 1)
        ]

        draft = one(snapshot(*readings), "rope tension")
        assert draft.value == pytest.approx(30.0)
        assert "tensions_n" not in draft.detail
        assert draft.detail["tension_indices"][-1] == 1.3


class TestMachined:
    def test_runout_past_what_a_new_machine_has_is_worth_an_eye(self):
        of = snapshot(
            take("seat_runout", 0.5, groove=2), take("seat_runout", 0.1, groove=1)
        )

        draft = one(of, "run-out of the seats")
        assert draft.grade == Grade.KEEP_AN_EYE_ON
        assert (draft.place, draft.value) == (
            "groove 2",
            pytest.approx(100 * 0.5 / 600),
        )

    def test_difference_of_worn_grooves_is_not_held_against_new_machining(self):
        worn_out = take("seat_diameter_difference", 0.6, groove=2)
        as_left = replace(worn_out, visit_kind="AS_LEFT")

        assert not found(snapshot(worn_out), "grooves as left")
        draft = one(snapshot(as_left), "grooves as left")
        assert draft.grade == Grade.KEEP_AN_EYE_ON


class TestRopes:
    def test_strand_counted_later_raises_the_rope_it_lies_in(self):
        of = snapshot(
            take("breaks_total", 2, rope=1, window="lay", on=date(2025, 1, 1)),
            take("breaks_worst_strand", 9, rope=1, window="lay"),
        )

        drafts = found(of, "broken wires", "rope 1")
        assert max(draft.value or 0 for draft in drafts) == 9

    def test_strand_above_the_total_raises_the_total_and_drops_nothing(self):
        of = snapshot(
            take("breaks_total", 2, rope=1, window="lay"),
            take("breaks_worst_strand", 9, rope=1, window="lay"),
        )

        drafts = found(of, "broken wires", "rope 1")
        assert any(draft.value == 9 for draft in drafts)
        assert not found(of, "rope discard", "rope 1")

    def test_condemned_rope_stops_service(self):
        of = snapshot(*on_every_rope("breaks_total", 60, window="lay"))

        drafts = found(of, "broken wires", "rope 3")
        assert any(d.grade == Grade.ACT_NOW and d.stops_service for d in drafts)


class TestRim:
    BOLTS = {
        "rim_construction": "BOLTED",
        "land_diameter_mm": 610.0,
        "bolt_circle_diameter_mm": 540.0,
        "bolt_hole_diameter_mm": 12.0,
        "bolt_axial_low_mm": 30.0,
        "bolt_axial_high_mm": 70.0,
    }

    def survey(self, thickness, minimum, **sheave):
        return snapshot(
            *worn(3.0),
            *[take("groove_bottom_depth", 18.0, groove=n) for n in range(1, 6)],
            *[
                take("rim_thickness", thickness, axial_mm=mm, mark=mark, over="land")
                for mm in ("5", "110")
                for mark in ("A", "B", "C", "D")
            ],
            take("underside_runout", 1.0),
            sheave={"minimum_rim_mm": minimum} | sheave,
        )

    def test_worst_case_below_the_makers_minimum_is_work_to_plan(self):
        draft = one(self.survey(36.0, 18.0), "rim metal")

        assert draft.grade in (Grade.PLAN_WORK, Grade.ACT_NOW)
        assert draft.detail["metal"]["thinnest"]

    def test_without_the_makers_minimum_metal_is_told_and_not_judged(self):
        draft = one(self.survey(36.0, None), "rim metal")

        assert draft.grade == Grade.NOT_ASSESSED
        assert draft.value is not None

    def test_metal_over_a_bolt_hole_decides_where_it_is_less(self):
        plain = one(self.survey(60.0, 10.0), "rim metal")

        draft = one(self.survey(60.0, 10.0, **self.BOLTS), "rim metal")

        # Land radius 305 less groove 18, less the hole's edge at 270 + 6: 11 mm, in
        # place of more than 40 of the casting (geometry).
        assert plain.value > 35.0
        assert draft.value == pytest.approx(11.0, abs=0.5)
        assert draft.place in ("groove 2", "groove 3")
        assert draft.detail["given"]["bolts"]["circle_radius_mm"] == 270.0

    @pytest.mark.parametrize("lacking", [name for name in BOLTS if "_" in name][1:])
    def test_a_bolted_rim_without_its_holes_is_not_in_order(self, lacking):
        given = self.BOLTS | {lacking: None}

        draft = one(self.survey(60.0, 10.0, **given), "rim metal")

        assert one(self.survey(60.0, 10.0), "rim metal").grade == Grade.IN_ORDER
        assert draft.grade == Grade.NOT_ASSESSED
        assert "the bolt holes of the bolted rim" in str(draft.reason)
        assert draft.value is not None

    def test_what_is_too_thin_stays_so_without_the_holes(self):
        thin = one(self.survey(36.0, 18.0, rim_construction="BOLTED"), "rim metal")

        assert thin.grade in (Grade.PLAN_WORK, Grade.ACT_NOW)
        assert "the bolt holes" in str(thin.reason)

    def test_place_of_the_web_is_used(self):
        web = {"web_axial_mm": 130.0, "web_thickness_mm": 20.0}
        between = {"web_axial_mm": 60.0, "web_thickness_mm": 20.0}

        draft = one(self.survey(45.0, 15.0, **web), "rim metal")
        apart = one(self.survey(45.0, 15.0, **between), "rim metal")

        assert draft.detail["given"]["web"] == {"axial_mm": 130.0, "thickness_mm": 20.0}
        assert "place of the web" not in draft.detail["metal"]["missing"]
        # One place on each side of the web tells nothing of either side's taper.
        assert apart.grade == Grade.NOT_ASSESSED

    def test_cut_without_proof_is_not_called_strong(self):
        draft = one(self.survey(45.0, 15.0), "room for a cut")

        assert str(draft.reason).startswith(
            "fits geometrically, strength not confirmed"
        )


def test_blocked_work_is_not_told_where_nothing_blocks_it():
    of = snapshot(*worn(4.0), machine={"wrap_angle_deg": 180.0})

    assert not found(of, "lubricating")
    assert not found(of, "equalising")


class TestTensionsToActOn:
    def read(self, kind, values, position="bottom"):
        return [
            take(kind, value, rope=n, side="car", car_position=position)
            for n, value in enumerate(values, 1)
        ]

    @pytest.mark.parametrize(
        ("kind", "values"),
        [
            ("rope_tension", (800.0, 4000.0, 4000.0, 4100.0, 3900.0)),
            ("rope_tension", (0.0, 4000.0, 4000.0, 4100.0, 3900.0)),
            ("wave_time", (5.0, 2.4, 2.4, 2.4, 2.4)),
        ],
    )
    def test_a_slack_rope_asks_for_work(self, kind, values):
        drafts = found(snapshot(*worn(4.0), *self.read(kind, values)), "rope tension")

        assert Grade.PLAN_WORK in {draft.grade for draft in drafts}

    def test_equal_waves_ask_for_nothing(self):
        of = snapshot(*worn(4.0), *self.read("wave_time", (2.4,) * 5))

        assert {d.grade for d in found(of, "rope tension")} == {Grade.IN_ORDER}


class TestWhatStands:
    """Each later or ignorant word that once cleared what was found."""

    @pytest.mark.parametrize("later", ["pass", "not seen"])
    def test_crack_is_not_cleared_by_a_word(self, later):
        of = snapshot(
            take("check", word="defect", part="crack", on=date(2026, 1, 10)),
            take("check", word=later, part="crack"),
        )

        draft = one(of, "check", "crack")
        assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)

    def test_defect_beats_pass_within_a_visit(self):
        for words in (("defect", "pass"), ("pass", "defect")):
            of = snapshot(*[take("check", word=w, part="fastening") for w in words])

            assert one(of, "check", "fastening").grade == Grade.ACT_NOW

    def test_work_that_answers_and_a_pass_after_it_clear_a_crack(self):
        mended = Work(pk=1, kind="REPAIR", done_on=date(2026, 3, 1))
        roped = Work(pk=2, kind="ROPING", done_on=date(2026, 3, 1))
        seen = take("check", word="defect", part="crack", on=date(2026, 1, 10))
        after = take("check", word="pass", part="crack")

        cleared = snapshot(seen, after, works=(mended,))
        unread = snapshot(seen, works=(mended,))
        other = snapshot(seen, after, works=(roped,))
        assert one(cleared, "check", "crack").grade == Grade.IN_ORDER
        assert one(unread, "check", "crack").grade == Grade.ACT_NOW
        assert one(other, "check", "crack").grade == Grade.ACT_NOW

    def test_routine_no_does_not_clear_slip(self):
        of = snapshot(
            take("slip_seen", word="yes", on=date(2026, 1, 10)),
            take("slip_seen", word="no"),
        )

        assert one(of, "rope slip").grade == Grade.ACT_NOW

    def test_yes_then_no_in_one_test_is_a_failed_test(self):
        words = [
            take("slip_seen", word=w, visit_kind="SLIP_TEST") for w in ("yes", "no")
        ]

        drafts = found(snapshot(*worn(4.0), *words), "traction")
        assert {draft.grade for draft in drafts} == {Grade.ACT_NOW}

    @pytest.mark.parametrize(
        "counts",
        [
            [take("breaks_total", 180, rope=1, window="lay")],
            [
                take("breaks_total", 40, rope=1, window="lay", on=date(2025, 6, 1)),
                take("breaks_total", 45, rope=1, window="30d"),
            ],
            [
                take("breaks_total", 40, rope=1, window="lay", on=date(2025, 6, 1)),
                take("breaks_total", 2, rope=1, window="lay"),
            ],
        ],
    )
    @pytest.mark.parametrize("criteria_set", ["EN_81_20", "TSG_T7001"])
    def test_broken_wires_condemn(self, counts, criteria_set):
        drafts = found(
            snapshot(*counts, criteria_set=criteria_set), "broken wires", "rope 1"
        )

        assert Grade.ACT_NOW in {draft.grade for draft in drafts}

    def test_a_hundred_over_30_diameters_are_not_in_order(self):
        of = snapshot(take("breaks_total", 100, rope=1, window="30d"))

        drafts = found(of, "broken wires", "rope 1")
        assert Grade.IN_ORDER not in {draft.grade for draft in drafts}
        assert "OPEN" in {draft.answer for draft in drafts}

    def test_thicker_elsewhere_does_not_clear_a_thin_rope(self):
        def read(value, station, on):
            return [
                take(
                    "rope_diameter",
                    value,
                    rope=1,
                    station=station,
                    direction=way,
                    on=on,
                )
                for way in ("1", "2")
            ]

        of = snapshot(*read(12.0, "a", date(2025, 6, 1)), *read(12.25, "b", TODAY))

        drafts = found(of, "rope diameter", "rope 1")
        assert {(d.grade, d.stops_service) for d in drafts} == {(Grade.ACT_NOW, True)}

    @pytest.mark.parametrize("code", ["ASME_A17_1", "ASME_A17_6", "MLIT_283"])
    def test_a_thin_metric_rope_is_judged_by_every_family(self, code):
        of = snapshot(*diameters(11.2), criteria_set=code)

        drafts = found(of, "rope diameter", "rope 1")
        assert Grade.ACT_NOW in {draft.grade for draft in drafts}

    def test_bands_too_wide_are_deep_and_not_unknown(self):
        bands = [
            take("seat_band_width", 6.0, groove=n, flank=flank)
            for n in range(1, 6)
            for flank in ("left", "right")
        ]
        of = snapshot(*diameters(), *bands, geometry=V, machine={"travel_m": 100.0})

        drafts = found(of, "traction, stalled", "groove 1")
        assert drafts
        for draft in drafts:
            assert draft.detail["seat_depths_mm"] == pytest.approx([1.0877], abs=1e-3)

    def test_rouge_counts_by_its_worst_station(self):
        of = snapshot(
            take("rouge", word="heavy", rope=1, station="a"),
            take("rouge", word="none", rope=1, station="b"),
            criteria_set="MLIT_283",
        )

        assert one(of, "rouge most", "rope 1").grade == Grade.ACT_NOW

    def test_strands_that_are_not_registered_open_what_they_would_close(self):
        counts = [take("breaks_total", 20, rope=1, window="lay")]

        def grades(**rope_set):
            of = snapshot(*counts, criteria_set="ASME_A17_1", rope_set=rope_set)
            return {d.grade for d in found(of, "broken wires", "rope 1")}

        assert Grade.IN_ORDER not in grades(strand_class="")

    def test_what_was_read_is_always_told_of(self):
        for code in ("ASME_A17_1", "ASME_A17_6"):
            of = snapshot(
                *diameters(10.0),
                take("breaks_total", 3, rope=1, window="lay"),
                criteria_set=code,
                rope_set={"nominal_diameter_mm": 10.0},
            )

            assert found(of, "rope diameter", "rope 1"), code
            assert found(of, "broken wires", "rope 1"), code
