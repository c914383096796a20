"""Each kind of option: when it is possible, blocked or pointless, and what it says."""

from dataclasses import replace
from datetime import date

import pytest

from inspections.decisions import options, thresholds
from inspections.decisions.records import OptionKind, Possible, Rates
from inspections.engineering.cut import KnownForm, Proof, SheaveToCut
from inspections.engineering.traction import LoadCase
from inspections.reasons import Code, Grade, english, note
from tests.inspections.decisions import machines
from tests.inspections.decisions.machines import AS_OF, finding

CUT = OptionKind.REGROOVE_IN_SHOP
UPKEEP = (OptionKind.DEGREASE, OptionKind.LUBRICATE)


def ranked(*, rates=machines.RATES, changes=(), **facts):
    return options.work_out(
        facts=replace(machines.SOUND, **facts),
        rates=rates,
        lead_times=machines.LEADS,
        thresholds=thresholds.changed(changes=dict(changes)),
        as_of=AS_OF,
    )


def of(kind, **given):
    return next(option for option in ranked(**given) if option.kind is kind)


def texts(reasons):
    return " | ".join(reason.text for reason in reasons)


def wanted(option):
    return [english(item) for item in option.measure_before]


ON_A_BELT = note("the car hangs on a belt")
FAILED = finding("traction", Grade.ACT_NOW, place="groove 3", stop=True)
SLIP = finding("rope slip", Grade.ACT_NOW, stop=True)
DISCARD = finding("rope discard", Grade.ACT_NOW, place="rope 2", stop=True)
NEAR = machines.ahead(plan=date(2027, 1, 1))


class TestWatch:
    def test_a_sound_machine_is_watched_until_the_next_reading(self):
        found = of(OptionKind.WATCH)

        assert found.rank == 1
        assert found.recommended
        assert found.next_reading_on == date(2026, 7, 1)
        assert found.plan_before_on is None

    def test_the_next_reading_is_pulled_forward_and_says_so(self):
        found = of(OptionKind.WATCH, visit_before_on=date(2026, 3, 1))

        assert found.next_reading_on == date(2026, 3, 1)
        assert "comes early" in texts(found.reasons)

    def test_without_a_day_of_the_next_reading_it_says_so(self):
        found = of(OptionKind.WATCH, next_visit_on=None)

        assert found.next_reading_on is None
        assert "no day of the next reading" in texts(found.reasons)

    @pytest.mark.parametrize("urgent", [FAILED, SLIP, DISCARD])
    def test_failed_traction_slip_and_discard_are_never_watched(self, urgent):
        found = of(OptionKind.WATCH, findings=(urgent,))

        assert found.possible is Possible.NO
        assert "never watched" in texts(found.blocked_because)
        assert found.out_of_service

    def test_a_near_limit_makes_watching_pointless(self):
        found = of(OptionKind.WATCH, ahead=(NEAR,))

        assert found.possible is Possible.YES
        assert "monitoring alone is not enough for" in texts(found.pointless_because)


class TestMeasureFirst:
    def test_it_names_what_is_not_measured_and_what_blurs_a_date(self):
        blurred = replace(machines.ahead(), measure_first="car_mass_kg")

        found = of(
            OptionKind.MEASURE_FIRST,
            ahead=(blurred,),
            unmeasured=(note("rope tension at the bottom"),),
            proof=Proof(),
        )

        assert wanted(found)[0] == "rope tension at the bottom"
        assert "the mass of the empty car: it blurs the date" in wanted(found)[1]
        assert "crack check" in wanted(found)

    def test_it_comes_before_watching_where_traction_is_not_assessed(self):
        found = ranked(findings=(finding("traction", Grade.NOT_ASSESSED),))

        assert found[0].kind is OptionKind.MEASURE_FIRST
        assert found[0].recommended

    def test_a_person_looks_at_what_no_work_answers(self):
        found = ranked(findings=(finding("brake", Grade.ACT_NOW, stop=True),))

        assert found[0].kind is OptionKind.MEASURE_FIRST
        assert found[0].out_of_service
        assert "a person has to look: brake" in texts(found[0].reasons)

    def test_a_machine_that_nothing_can_be_worked_out_for_is_left_to_a_person(self):
        found = ranked(findings=(DISCARD,), uncomputable=ON_A_BELT)

        assert found[0].kind is OptionKind.MEASURE_FIRST
        work = [each for each in found if each.kind.is_work]
        assert {each.possible for each in work} <= {Possible.NOT_KNOWN, Possible.NO}
        assert (
            ON_A_BELT in of(OptionKind.RE_ROPE, uncomputable=ON_A_BELT).measure_before
        )


class TestEqualise:
    def test_unequal_tensions_are_equalised_first(self):
        found = ranked(findings=(finding("rope tension"),))

        assert found[0].kind is OptionKind.EQUALISE
        assert found[0].recommended

    @pytest.mark.parametrize(
        "uneven",
        [
            {"feed_is_equal": False},
            {"findings": (finding("rope tension"), finding("tension swing"))},
        ],
    )
    def test_it_is_blocked_while_the_grooves_feed_unequally(self, uneven):
        found = of(OptionKind.EQUALISE, **uneven)

        assert found.possible is Possible.NO
        assert "unequally" in texts(found.blocked_because)

    def test_it_waits_for_a_reading_where_the_feed_is_not_known(self):
        found = of(
            OptionKind.EQUALISE, feed_is_equal=None, findings=(finding("rope tension"),)
        )

        assert found.possible is Possible.NOT_KNOWN
        assert found.rank == 1
        assert not found.recommended
        assert "tensions at bottom and top" in wanted(found)[0]

    def test_it_is_pointless_where_the_ropes_are_to_be_renewed(self):
        found = of(OptionKind.EQUALISE, findings=(finding("rope tension"), DISCARD))

        assert "to be renewed" in texts(found.pointless_because)


class TestLubricate:
    @pytest.mark.parametrize(
        "topic", ["traction", "rope slip", "creep over the sheave"]
    )
    def test_it_is_blocked_while_slip_or_traction_is_open(self, topic):
        found = of(OptionKind.LUBRICATE, findings=(finding(topic),))

        assert found.possible is Possible.NO
        assert "no lubricant" in texts(found.blocked_because)

    def test_it_waits_for_traction_where_that_is_not_assessed(self):
        found = of(OptionKind.LUBRICATE, margins=())

        assert found.possible is Possible.NOT_KNOWN

    def test_it_is_upkeep_and_answers_nothing(self):
        found = of(OptionKind.LUBRICATE)

        assert found.possible is Possible.YES
        assert found.addresses == ()
        assert not found.is_pointless


class TestShorten:
    def test_run_by_that_is_used_up_is_answered_by_shortening(self):
        found = ranked(findings=(finding("counterweight run-by"),))

        assert found[0].kind is OptionKind.SHORTEN
        assert found[0].recommended
        assert "hitches" in wanted(found[0])[0]

    def test_it_is_pointless_where_the_ropes_are_to_be_renewed(self):
        found = of(
            OptionKind.SHORTEN, findings=(finding("counterweight run-by"), DISCARD)
        )

        assert "get their length" in texts(found.pointless_because)


class TestReRope:
    def test_ropes_past_discard_are_renewed_where_the_grooves_serve(self):
        found = ranked(findings=(DISCARD,))

        assert found[0].kind is OptionKind.RE_ROPE
        assert found[0].recommended
        assert "whole set" in texts(found[0].reasons)
        assert [m.after for m in found[0].margins] == [0.15] * 5

    def test_it_is_blocked_where_new_ropes_would_be_pinched(self):
        found = of(OptionKind.RE_ROPE, findings=(DISCARD,), new_rope_is_pinched=True)

        assert found.possible is Possible.NO
        assert "pinched" in texts(found.blocked_because)
        assert [m.after for m in found.margins] == [None] * 5

    def test_a_greater_work_is_not_advised_for_want_of_a_groove_gauge(self):
        found = ranked(findings=(DISCARD,), new_rope_is_pinched=None)

        assert found[0].kind is OptionKind.RE_ROPE
        assert found[0].possible is Possible.NOT_KNOWN
        assert not any(option.recommended for option in found)
        assert "not to be decided before this is known" in texts(found[0].reasons)

    @pytest.mark.parametrize(
        "topic", ["traction", "seat depths in the set", "tension swing", "rim metal"]
    )
    def test_it_is_pointless_in_grooves_with_an_open_finding(self, topic):
        found = of(OptionKind.RE_ROPE, findings=(DISCARD, finding(topic)))

        assert "grooves with an open finding" in texts(found.pointless_because)

    def test_it_is_pointless_where_a_groove_is_due_within_two_years(self):
        found = of(OptionKind.RE_ROPE, findings=(DISCARD,), ahead=(NEAR,))

        assert "2027-01-01" in texts(found.pointless_because)

    def test_the_contractor_can_shorten_those_two_years(self):
        found = of(
            OptionKind.RE_ROPE,
            findings=(DISCARD,),
            ahead=(NEAR,),
            changes={"short_life_years": 0.5},
        )

        assert not found.is_pointless

    def test_a_groove_known_from_other_machines_alone_does_not_count(self):
        found = of(
            OptionKind.RE_ROPE, findings=(DISCARD,), ahead=(replace(NEAR, own=False),)
        )

        assert not found.is_pointless


class TestRegroove:
    def test_a_cut_that_fits_answers_failed_traction(self):
        found = ranked(findings=(FAILED,))

        assert found[0].kind is OptionKind.REGROOVE_IN_PLACE
        assert found[0].recommended
        assert [m.before for m in found[0].margins] == [0.15] * 5
        assert [m.after for m in found[0].margins] == [0.25] * 5

    @pytest.mark.parametrize(
        ("proof", "missing"),
        [
            (Proof(), "crack check"),
            (replace(machines.SOUND.proof, crack_free=None), "crack check"),
            (replace(machines.SOUND.proof, hardness=()), "hardness"),
            (
                replace(machines.SOUND.proof, minimum_diameter_mm=None),
                "the maker's least diameter",
            ),
        ],
    )
    def test_without_proof_of_strength_it_is_not_known(self, proof, missing):
        found = of(CUT, findings=(FAILED,), proof=proof)

        assert found.possible is Possible.NOT_KNOWN
        assert missing in wanted(found)
        assert not found.recommended

    def test_a_crack_forbids_it(self):
        found = of(CUT, proof=replace(machines.SOUND.proof, crack_free=False))

        assert found.possible is Possible.NO
        assert "a crack was found" in texts(found.reasons)

    def test_a_thin_rim_forbids_it_and_tells_the_probability(self):
        found = of(CUT, rim=machines.rim(30.0, 29.0, 28.0, 24.0, 20.0))

        assert found.possible is Possible.NO
        assert found.probability_possible < 0.2
        assert "groove 5" in texts(found.reasons)

    def test_without_a_rim_survey_it_is_not_known(self):
        found = of(CUT, rim=None)

        assert found.possible is Possible.NOT_KNOWN
        assert found.probability_possible is None
        assert "metal of the rim" in wanted(found)

    @pytest.mark.parametrize(
        ("lacking", "missing"),
        [
            ({"seats": ()}, "depth of the seats"),
            ({"sheave": None}, "pitch diameters and form of the sheave"),
            ({"rope_diameter_mm": None}, "nominal rope diameter"),
        ],
    )
    def test_without_what_a_cut_is_planned_from_it_is_not_known(self, lacking, missing):
        found = of(CUT, **lacking)

        assert found.possible is Possible.NOT_KNOWN
        assert missing in wanted(found)
        assert found.cut is None
        assert found.speed_after_m_s is None

    def test_a_seat_deeper_than_the_sheave_is_said_and_not_computed(self):
        found = of(CUT, seats=machines.seats(400.0, 1.0, 1.0, 1.0, 1.0))

        assert found.possible is Possible.NOT_KNOWN
        assert "pitch_diameter_mm" in wanted(found)[0]

    def test_a_small_sheave_is_not_cut(self):
        small = SheaveToCut(
            form=KnownForm.UNDERCUT,
            pitch_diameter_new_mm=524.0,
            pitch_diameter_turned_mm=524.0,
            hardened_depth_mm=0.0,
        )
        proof = replace(machines.SOUND.proof, minimum_diameter_mm=500.0)

        found = of(CUT, sheave=small, proof=proof)

        assert found.possible is Possible.NO
        assert found.diameter_ratio_after < 40.0

    def test_a_20_in_sheave_with_half_inch_ropes_is_not_cut(self):
        """As a note on regrooving says: it stands at D/d of 40 already."""
        inches = SheaveToCut(
            form=KnownForm.UNDERCUT,
            pitch_diameter_new_mm=20 * 25.4,
            pitch_diameter_turned_mm=20 * 25.4,
            hardened_depth_mm=0.0,
        )
        proof = replace(machines.SOUND.proof, minimum_diameter_mm=None)

        found = of(CUT, sheave=inches, proof=proof, rope_diameter_mm=12.7)

        assert found.possible is Possible.NO
        assert "D/d would be" in texts(found.reasons)

    def test_a_stricter_ratio_of_the_contractor_forbids_it(self):
        found = of(CUT, changes={"diameter_ratio_least": 46.0})

        assert found.possible is Possible.NO
        assert "D/d would be 45.77" in texts(found.reasons)

    def test_a_stricter_chance_of_the_contractor_forbids_it(self):
        facts = {"rim": machines.rim(*[22.0] * 5, worst_below_mm=1.2)}

        usual = of(CUT, **facts)
        strict = of(CUT, changes={"chance_too_thin_most": 1e-6}, **facts)

        assert usual.possible is Possible.YES
        assert strict.possible is Possible.NO
        assert "a chance of" in texts(strict.reasons)

    def test_traction_that_does_not_close_as_turned_forbids_it(self):
        found = of(CUT, margins=machines.margins(-0.1, -0.02))

        assert found.possible is Possible.NO
        assert "empty car braking on its way up -0.020" in texts(found.reasons)

    def test_a_case_that_the_drive_meets_otherwise_does_not_forbid_it(self):
        met = tuple(
            replace(each, as_new=-0.3, met_otherwise=True)
            if each.case.is_stalled
            else each
            for each in machines.margins()
        )

        assert of(CUT, margins=met).possible is Possible.YES

    def test_a_stricter_margin_of_the_contractor_forbids_it(self):
        found = of(CUT, changes={"margin_after_least": 0.3})

        assert found.possible is Possible.NO

    def test_without_traction_it_is_not_known(self):
        found = of(CUT, margins=(), traction_rules=None)

        assert found.possible is Possible.NOT_KNOWN
        assert any("traction is computed from" in each for each in wanted(found))

    def test_a_cut_that_leaves_no_metal_for_the_next_is_pointless(self):
        last = {"rim": machines.rim(*[24.5] * 5)}

        found = of(CUT, findings=(FAILED,), **last)
        allowed = of(
            CUT, findings=(FAILED,), changes={"further_cuts_least": 0.0}, **last
        )

        assert found.possible is Possible.YES
        assert "0 further cuts" in texts(found.pointless_because)
        assert not allowed.is_pointless

    def test_in_place_and_in_the_shop_say_what_each_asks_for(self):
        in_place = of(OptionKind.REGROOVE_IN_PLACE).cautions

        assert Code.CAUTION_CUT_IN_PLACE in [each.code for each in in_place]
        assert Code.CAUTION_CUT_IN_SHOP in [each.code for each in of(CUT).cautions]

    def test_speed_is_told_against_the_sheave_as_new(self):
        cut_before = replace(machines.SOUND.sheave, pitch_diameter_turned_mm=590.0)

        found = of(CUT, sheave=cut_before)

        assert found.pitch_diameter_after_mm == pytest.approx(590.0 - 2 * 2.5)
        assert found.speed_after_m_s == pytest.approx(1.6 * 585.0 / 600.0)


class TestRenewRim:
    @pytest.mark.parametrize(
        ("renewable", "possible"),
        [
            (True, Possible.YES),
            (False, Possible.NO),
            (None, Possible.NOT_KNOWN),
        ],
    )
    def test_only_a_bolted_rim_can_be_renewed(self, renewable, possible):
        found = of(OptionKind.RENEW_RIM, rim_is_renewable=renewable)

        assert found.possible is possible

    def test_it_is_not_known_without_traction(self):
        found = of(
            OptionKind.RENEW_RIM,
            rim_is_renewable=True,
            margins=(),
            suspension=None,
        )

        assert found.possible is Possible.NOT_KNOWN

    def test_it_answers_a_rim_that_is_too_thin(self):
        found = ranked(
            findings=(finding("rim metal", Grade.ACT_NOW),), rim_is_renewable=True
        )

        assert found[0].kind is OptionKind.RENEW_RIM


class TestReplaceSheave:
    def test_it_is_left_where_no_cut_fits_and_the_rim_is_solid(self):
        found = ranked(findings=(FAILED,), rim=machines.rim(*[19.0] * 5))

        assert found[0].kind is OptionKind.REPLACE_SHEAVE
        assert found[0].recommended
        assert found[0].pitch_diameter_after_mm == 600.0

    def test_one_of_the_same_form_does_not_help_where_traction_never_closed(self):
        found = of(
            OptionKind.REPLACE_SHEAVE,
            findings=(FAILED,),
            margins=machines.margins(-0.1, -0.02),
        )

        assert found.possible is Possible.NOT_KNOWN
        assert "a sheave of another form, calculated anew" in wanted(found)

    def test_without_a_registered_sheave_it_can_still_be_chosen(self):
        found = of(OptionKind.REPLACE_SHEAVE, sheave=None, margins=(), groove=None)

        assert found.possible is Possible.YES
        assert found.pitch_diameter_after_mm is None
        assert found.measure_before


class TestOrder:
    def test_safety_outranks_cost(self):
        cheap_ropes = ranked(findings=(FAILED, DISCARD))

        kinds = [option.kind for option in cheap_ropes]
        assert kinds.index(OptionKind.REGROOVE_IN_PLACE) < kinds.index(
            OptionKind.RE_ROPE
        )
        assert cheap_ropes[0].leaves_open == ()

    def test_cost_decides_between_what_answers_the_same(self):
        dear_cutter = replace(
            machines.RATES,
            shop=dict(machines.RATES.shop)
            | {OptionKind.REGROOVE_IN_PLACE: machines.exactly(9000.0)},
        )

        found = ranked(findings=(FAILED,), rates=dear_cutter)

        assert found[0].kind is CUT

    def test_without_rates_the_lesser_work_comes_first_and_says_so(self):
        found = ranked(findings=(FAILED,), rates=Rates())

        assert found[0].kind is OptionKind.REGROOVE_IN_PLACE
        assert "not ordered by cost" in texts(found[0].reasons)

    def test_every_option_says_that_it_is_no_permission(self):
        assert all(
            "does not authorise operation" in " ".join(map(str, option.cautions))
            for option in ranked()
        )

    def test_with_a_stop_every_option_says_out_of_service(self):
        found = ranked(findings=(SLIP,))

        assert all("out of service" in str(option.cautions[0]) for option in found)
        assert all("rope slip" in str(option.cautions[0]) for option in found)

    def test_every_reason_has_a_source(self):
        for option in ranked(findings=(FAILED, DISCARD)):
            reasons = (
                *option.reasons,
                *option.blocked_because,
                *option.pointless_because,
            )
            assert all(reason.source and reason.text for reason in reasons)

    def test_margins_are_told_for_every_case(self):
        cases = [change.case for change in of(CUT).margins]

        assert cases == list(LoadCase)


class TestDegrease:
    def test_it_stands_beside_a_cut_where_ropes_are_wet_and_answers_nothing(self):
        found = of(OptionKind.DEGREASE, findings=(FAILED,), ropes_oiled=True)
        cut = of(CUT, findings=(FAILED,), ropes_oiled=True)
        dry = of(CUT, findings=(FAILED,), ropes_oiled=False)

        assert found.possible is Possible.YES
        assert not found.is_pointless
        assert found.addresses == ()
        assert found.leaves_stop_open
        assert not found.recommended
        assert "cause of slip" in texts(found.reasons)
        assert "ends no finding" in texts(found.reasons)
        first = [c for c in cut.cautions if c.code is Code.CAUTION_DEGREASE_FIRST]
        assert len(first) == 1
        assert Code.CAUTION_DEGREASE_FIRST not in {c.code for c in dry.cautions}
        assert {Code.CAUTION_DEGREASE, Code.CAUTION_DEGREASE_TEST} <= {
            c.code for c in found.cautions
        }

    def test_wet_ropes_change_no_rank_of_what_answers_the_finding(self):
        def order(**facts):
            kinds = [option.kind for option in ranked(findings=(FAILED,), **facts)]
            return [kind for kind in kinds if kind not in UPKEEP]

        assert order(ropes_oiled=True) == order(ropes_oiled=False)

    def test_it_is_pointless_on_dry_ropes_and_where_nothing_is_open(self):
        dry = of(OptionKind.DEGREASE, findings=(SLIP,), ropes_oiled=False)
        sound = of(OptionKind.DEGREASE, ropes_oiled=True)

        assert "no rope was read as wet" in texts(dry.pointless_because)
        assert sound.is_pointless

    def test_ropes_nobody_has_felt_are_to_be_felt_first(self):
        found = of(OptionKind.DEGREASE, findings=(SLIP,))

        assert found.possible is Possible.NOT_KNOWN
        assert wanted(found) == ["lubrication of the ropes, by a finger"]

    def test_wet_ropes_are_not_lubricated(self):
        assert of(OptionKind.LUBRICATE, ropes_oiled=True).is_pointless
