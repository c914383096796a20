from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.engineering import criteria, cut, rim
from inspections.engineering.cut import (
    FitAnswer,
    Hardened,
    KnownForm,
    Proof,
    SeatAt,
    SheaveToCut,
)
from inspections.engineering.limit import Bound, Limit, Stage
from inspections.engineering.rim import (
    CastRunout,
    GrooveBottom,
    KnownDraft,
    RimMetal,
    Thicker,
    ThicknessReading,
)
from inspections.engineering.source import Certainty, Source
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome, judge
from inspections.reasons import Term

EUROPE = criteria.find(code="EN_81_20")
UNDERCUT = SheaveToCut(
    form=KnownForm.UNDERCUT,
    pitch_diameter_new_mm=600.0,
    pitch_diameter_turned_mm=600.0,
    hardened_depth_mm=0.0,
)
HARD_ENOUGH = judge(
    limit=criteria.lookup(criteria_set=EUROPE, key="hardness_least"), value=210.0
)
TOO_SOFT = judge(
    limit=criteria.lookup(criteria_set=EUROPE, key="hardness_least"), value=150.0
)
PROVEN = Proof(minimum_diameter_mm=580.0, crack_free=True, hardness=(HARD_ENOUGH,))
SEATS = (
    SeatAt(groove=1, depth_mm=0.8),
    SeatAt(groove=1, depth_mm=1.0, angle_rad=1.6),
    SeatAt(groove=2, depth_mm=2.0, sd_mm=0.1),
    SeatAt(groove=3, depth_mm=1.5),
)


TRUE_RUNNING = CastRunout(indicator_mm=0.0)


def _rim(thickness_mm=40.0, minimum_mm=None, runout=TRUE_RUNNING):
    return rim.metal(
        grooves=tuple(
            GrooveBottom(
                number=number, axial_mm=20.0 * number, bottom_depth_mm=18.0, sd_mm=0.0
            )
            for number in (1, 2, 3)
        ),
        readings=(
            ThicknessReading(
                axial_mm=20.0, thickness_mm=thickness_mm, sd_mm=0.1, angle_rad=0.0
            ),
        ),
        draft=KnownDraft(angle_rad=0.0, thicker=Thicker.TOWARDS_DATUM),
        runout=runout,
        minimum_mm=minimum_mm,
    )


def _plan(**changed):
    given = {
        "sheave": UNDERCUT,
        "seats": SEATS,
        "rim": _rim(),
        "clean_up_mm": 1.5,
        "rope_diameter_mm": 13.0,
        "proof": Proof(),
        "criteria_set": EUROPE,
        "judge_after": lambda _: (),
        **changed,
    }
    return cut.plan(**given)


def _verdict(value, *, stage=Stage.LIMIT):
    limit = Limit(
        key="traction_after",
        words="margin after the cut",
        value=0.0,
        unit="-",
        bound=Bound.AT_LEAST,
        stage=stage,
        source=Source(document="EN 81-50", certainty=Certainty.FROM_MEMORY),
    )
    return judge(limit=limit, value=value)


def test_the_deepest_seat_over_grooves_and_angles_decides():
    plan = _plan()

    assert plan.deepest_groove == 2
    assert plan.cut_depth_mm == pytest.approx(3.5)
    assert plan.pitch_diameter_mm == pytest.approx(593.0)
    assert plan.speed_ratio == pytest.approx(593.0 / 600.0)
    assert [each.removed_at_seat_mm for each in plan.grooves] == pytest.approx(
        [2.5, 1.5, 2.0]
    )


def test_under_a_slot_every_groove_loses_the_whole_cut():
    plan = _plan()

    assert [each.metal_mm for each in plan.grooves] == pytest.approx([18.5] * 3)
    assert plan.grooves[0].metal_worst_mm == pytest.approx(22.0 - 0.2 - 3.5 - 0.2)


def test_in_a_round_groove_the_worn_part_is_not_taken_twice():
    plan = _plan(sheave=replace(UNDERCUT, form=KnownForm.ROUND))

    # 22 mm less (2.0 - s + 1.5), s the shallowest seat of each groove.
    assert [each.metal_mm for each in plan.grooves] == pytest.approx([19.3, 20.5, 20.0])


def test_without_proof_it_fits_by_geometry_only_and_no_cuts_are_counted():
    plan = _plan()

    assert plan.answer is FitAnswer.STRENGTH_NOT_CONFIRMED
    assert plan.answer == "fits geometrically, strength not confirmed"
    assert plan.further_cuts is None
    assert plan.missing == (
        Term.LEAST_METAL,
        Term.LEAST_DIAMETER,
        Term.CRACK_CHECK,
        Term.HARDNESS,
    )


@pytest.mark.parametrize(
    ("proof", "minimum_mm", "missing"),
    [
        (replace(PROVEN, crack_free=None), 12.0, Term.CRACK_CHECK),
        (replace(PROVEN, hardness=()), 12.0, Term.HARDNESS),
        (replace(PROVEN, minimum_diameter_mm=None), 12.0, Term.LEAST_DIAMETER),
        (PROVEN, None, Term.LEAST_METAL),
    ],
)
def test_one_missing_proof_is_enough_to_leave_strength_open(proof, minimum_mm, missing):
    plan = _plan(proof=proof, rim=_rim(minimum_mm=minimum_mm))

    assert plan.answer is FitAnswer.STRENGTH_NOT_CONFIRMED
    assert plan.further_cuts is None
    assert plan.missing == (missing,)


def test_with_every_proof_further_cuts_of_the_same_depth_are_counted():
    plan = _plan(proof=PROVEN, rim=_rim(minimum_mm=12.0))

    # Metal spares (18.1 - 12)/3.5 = 1.7, the diameter (593 - 580)/2/3.5 = 1.9.
    assert plan.answer is FitAnswer.FITS
    assert plan.further_cuts == 1
    assert plan.grooves[0].probability_below_minimum < 1e-6


def test_a_cut_of_nothing_counts_no_further_cuts():
    plan = _plan(
        proof=PROVEN,
        rim=_rim(minimum_mm=12.0),
        clean_up_mm=0.0,
        seats=tuple(SeatAt(groove=number, depth_mm=0.0) for number in (1, 2, 3)),
    )

    assert plan.answer is FitAnswer.FITS
    assert plan.further_cuts is None


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"rim": _rim(minimum_mm=18.3)}, "less than 18.3 mm"),
        ({"rim": _rim(thickness_mm=21.0)}, "less than 0.0 mm"),
        ({"proof": replace(PROVEN, minimum_diameter_mm=594.0)}, "maker's least is"),
        ({"proof": replace(PROVEN, crack_free=False)}, "a crack was found"),
        ({"proof": replace(PROVEN, hardness=(TOO_SOFT,))}, "hardness of the rim"),
        ({"rope_diameter_mm": 15.0}, "sheave diameter over rope diameter"),
        (
            {"sheave": replace(UNDERCUT, pitch_diameter_new_mm=650.0)},
            "car speed against rated",
        ),
        ({"judge_after": lambda _: (_verdict(-0.1),)}, "margin after the cut"),
    ],
)
def test_a_cut_that_does_not_fit_says_why(changed, reason):
    plan = _plan(**changed)

    assert plan.answer is FitAnswer.DOES_NOT_FIT
    assert any(reason in str(each) for each in plan.reasons)


def test_a_watch_limit_after_the_cut_does_not_stop_it():
    plan = _plan(judge_after=lambda _: (_verdict(-0.1, stage=Stage.WATCH),))

    assert plan.answer is FitAnswer.STRENGTH_NOT_CONFIRMED


def test_traction_after_the_cut_is_asked_with_the_new_diameter():
    asked = []

    def judge_after(diameter_mm):
        asked.append(diameter_mm)
        return (_verdict(0.2),)

    plan = _plan(judge_after=judge_after)

    assert asked == [pytest.approx(593.0)]
    assert plan.verdicts[-1].outcome is Outcome.NOT_MET


def test_traction_that_was_not_asked_is_missing_but_does_not_decide():
    plan = _plan(judge_after=None)

    assert Term.TRACTION_AFTER_CUT in plan.missing
    assert plan.answer is FitAnswer.STRENGTH_NOT_CONFIRMED


@pytest.mark.parametrize(
    ("hardened_depth_mm", "rehardened", "hardened", "answer"),
    [
        (0.0, False, Hardened.NOT_HARDENED, FitAnswer.STRENGTH_NOT_CONFIRMED),
        (5.0, False, Hardened.REMAINS, FitAnswer.STRENGTH_NOT_CONFIRMED),
        (3.0, False, Hardened.GONE, FitAnswer.BLOCKED),
        (3.6, False, Hardened.GONE, FitAnswer.BLOCKED),
        (3.0, True, Hardened.RENEWED, FitAnswer.STRENGTH_NOT_CONFIRMED),
        (None, False, Hardened.NOT_KNOWN, FitAnswer.NOT_ASSESSED),
    ],
)
def test_a_cut_through_the_hardened_layer_is_blocked(
    hardened_depth_mm, rehardened, hardened, answer
):
    plan = _plan(
        sheave=replace(
            UNDERCUT,
            hardened_depth_mm=hardened_depth_mm,
            rehardened_after=rehardened,
        )
    )

    assert plan.hardened is hardened
    assert plan.answer is answer
    assert any("hardened layer" in str(each) for each in plan.reasons) is (
        hardened is Hardened.GONE
    )


@pytest.mark.parametrize(
    "changed",
    [
        {"rim": _rim(runout=None)},
        {"seats": SEATS[:3]},
        {
            "rim": RimMetal(
                grooves=(), thinnest=None, minimum_mm=None, missing=(), cautions=()
            )
        },
        {"seats": (*SEATS, SeatAt(groove=4, depth_mm=1.0))},
        {"criteria_set": criteria.find(code="CFR_30_56")},
        {
            "seats": tuple(replace(seat, sd_mm=0.4) for seat in SEATS),
            "rope_diameter_mm": 593.0 / 40.01,
        },
    ],
)
def test_what_is_not_known_gives_no_answer(changed):
    plan = _plan(**changed)

    assert plan.answer is FitAnswer.NOT_ASSESSED
    assert plan.missing


def test_seats_above_the_turned_groove_count_as_unworn():
    plan = _plan(
        seats=tuple(SeatAt(groove=number, depth_mm=-0.1) for number in (1, 2, 3))
    )

    assert plan.cut_depth_mm == pytest.approx(1.5)
    assert plan.grooves[0].metal_mm == pytest.approx(20.5)


def test_the_thinnest_groove_after_the_cut_is_named():
    plan = _plan(sheave=replace(UNDERCUT, form=KnownForm.ROUND))

    assert plan.thinnest == 1


@given(
    thickness_mm=st.floats(19.0, 60.0),
    more_mm=st.floats(0.0, 20.0),
    depth_mm=st.floats(0.0, 5.0),
    minimum_mm=st.one_of(st.none(), st.floats(1.0, 25.0)),
)
def test_a_thicker_rim_never_makes_a_cut_impossible(
    thickness_mm, more_mm, depth_mm, minimum_mm
):
    seats = tuple(SeatAt(groove=number, depth_mm=depth_mm) for number in (1, 2, 3))
    thin = _plan(
        seats=seats, rim=_rim(thickness_mm, minimum_mm=minimum_mm), proof=PROVEN
    )

    thick = _plan(
        seats=seats,
        rim=_rim(thickness_mm + more_mm, minimum_mm=minimum_mm),
        proof=PROVEN,
    )

    if thin.answer is not FitAnswer.DOES_NOT_FIT:
        assert thick.answer is thin.answer
    if thin.further_cuts is not None:
        assert thick.further_cuts >= thin.further_cuts


@given(depth_mm=st.floats(0.0, 5.0), deeper_mm=st.floats(0.0, 5.0))
def test_a_deeper_seat_never_leaves_more_metal(depth_mm, deeper_mm):
    def metal(depth):
        seats = tuple(SeatAt(groove=number, depth_mm=depth) for number in (1, 2, 3))
        return _plan(seats=seats).grooves[0].metal_mm

    assert metal(depth_mm + deeper_mm) <= metal(depth_mm)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: _plan(seats=()), "number of seats is 0"),
        (lambda: _plan(clean_up_mm=-0.1), "clean_up_mm is -0.1"),
        (lambda: _plan(rope_diameter_mm=0.0), "rope_diameter_mm is 0"),
        (lambda: _plan(clean_up_mm=400.0), "pitch_diameter_mm is -204"),
        (
            lambda: replace(UNDERCUT, pitch_diameter_turned_mm=601.0),
            "pitch_diameter_turned_mm is 601; it must be at most",
        ),
        (lambda: replace(UNDERCUT, hardened_depth_mm=-1.0), "hardened_depth_mm is -1"),
        (lambda: Proof(minimum_diameter_mm=0.0), "minimum_diameter_mm is 0"),
        (lambda: SeatAt(groove=1, depth_mm=float("nan")), "depth_mm is nan"),
    ],
)
def test_a_cut_that_cannot_be_is_refused(make, message):
    with pytest.raises(OutsideValidity, match=message):
        make()


def test_uneven_hardness_of_an_old_rim_leaves_strength_open_and_still_fits():
    uneven = judge(
        limit=criteria.lookup(criteria_set=EUROPE, key="hardness_spread_most"),
        value=25.0,
    )

    planned = _plan(proof=replace(PROVEN, hardness=(HARD_ENOUGH, uneven)))

    assert planned.answer is FitAnswer.STRENGTH_NOT_CONFIRMED
    assert Term.HARDNESS in planned.missing
