from dataclasses import replace
from math import nan, pi, radians, sqrt, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.engineering import rim
from inspections.engineering.rim import (
    Bolts,
    CastRunout,
    DraftRange,
    GrooveBottom,
    KnownDraft,
    MeasuredDraft,
    Surface,
    Thicker,
    ThicknessReading,
    Web,
)
from inspections.engineering.validity import OutsideValidity
from inspections.reasons import Code, Term, because

PLACES_MM = (20.0, 40.0, 60.0, 80.0, 100.0)
WEB = Web(axial_mm=60.0, thickness_mm=16.0)
ONE_DEGREE = radians(1.0)
TRUE_RUNNING = CastRunout(indicator_mm=0.0)


def _grooves(places_mm=PLACES_MM, depth_mm=18.0, sd_mm=0.0):
    return tuple(
        GrooveBottom(
            number=number, axial_mm=place, bottom_depth_mm=depth_mm, sd_mm=sd_mm
        )
        for number, place in enumerate(places_mm, start=1)
    )


def _reading(axial_mm, thickness_mm, angle_deg=0.0, sd_mm=0.2):
    return ThicknessReading(
        axial_mm=axial_mm,
        thickness_mm=thickness_mm,
        sd_mm=sd_mm,
        angle_rad=radians(angle_deg),
    )


def _metal(**changed):
    given = {
        "grooves": _grooves(),
        "readings": (_reading(20.0, 40.0),),
        "draft": KnownDraft(angle_rad=ONE_DEGREE, thicker=Thicker.AWAY_FROM_DATUM),
        "runout": TRUE_RUNNING,
        "web": None,
        **changed,
    }
    return rim.metal(**given)


def _nominals(found):
    return [each.nominal_mm for each in found.grooves]


def test_a_tapered_underside_makes_the_metal_differ_from_groove_to_groove():
    found = _metal()

    expected = [22.0 + (place - 20.0) * tan(ONE_DEGREE) for place in PLACES_MM]
    assert _nominals(found) == pytest.approx(expected)
    assert found.thinnest == 1


def test_metal_is_thickest_at_the_web_when_drawn_from_both_sides():
    found = _metal(
        readings=(_reading(20.0, 40.0), _reading(100.0, 40.0)),
        draft=KnownDraft(angle_rad=ONE_DEGREE, thicker=Thicker.TOWARDS_WEB),
        web=WEB,
    )

    nominals = _nominals(found)
    assert nominals == pytest.approx(nominals[::-1])
    assert max(nominals) == nominals[2]


def test_a_side_of_the_web_without_a_reading_is_not_known():
    found = _metal(web=WEB)

    assert found.grooves[4].nominal_mm is None
    assert "too few readings" in str(found.grooves[4].reason)
    assert found.thinnest is None
    assert because(Code.THICKNESS_ON_SIDE, groove=5) in found.missing


def test_over_the_web_the_thinner_side_counts():
    found = _metal(
        readings=(_reading(20.0, 40.0), _reading(100.0, 38.0)),
        draft=KnownDraft(angle_rad=0.0, thicker=Thicker.TOWARDS_WEB),
        web=WEB,
    )

    assert found.grooves[2].nominal_mm == pytest.approx(20.0)


def test_towards_the_web_means_nothing_without_its_place():
    found = _metal(draft=KnownDraft(angle_rad=ONE_DEGREE, thicker=Thicker.TOWARDS_WEB))

    assert _nominals(found) == pytest.approx([22.0] * 5)
    assert found.grooves[4].worst_mm < 22.0 - 80.0 * tan(ONE_DEGREE)
    assert Term.WEB_PLACE in found.missing
    assert any("one taper is assumed" in str(each) for each in found.cautions)


def test_draft_is_found_from_two_places():
    found = _metal(
        readings=(_reading(20.0, 40.0), _reading(100.0, 42.0)), draft=MeasuredDraft()
    )

    assert _nominals(found) == pytest.approx([22.0, 22.5, 23.0, 23.5, 24.0])
    assert found.grooves[0].sd_mm == pytest.approx(0.2)
    assert found.grooves[2].sd_mm == pytest.approx(0.2 / sqrt(2.0))


def test_draft_cannot_be_found_from_one_place():
    found = _metal(
        readings=(_reading(20.0, 40.0), _reading(20.0, 40.1)), draft=MeasuredDraft()
    )

    assert _nominals(found) == [None] * 5


def test_extrapolation_is_less_sure_than_interpolation():
    found = _metal(
        readings=(_reading(20.0, 40.0), _reading(40.0, 40.4)), draft=MeasuredDraft()
    )

    sds = [each.sd_mm for each in found.grooves]
    assert sds == sorted(sds)
    assert sds[4] == pytest.approx(5.0 * sds[1])


def test_readings_that_scatter_more_than_stated_widen_the_answer():
    straight = _metal(
        readings=tuple(_reading(x, 40.0) for x in (20.0, 60.0, 100.0)),
        draft=MeasuredDraft(),
    )
    crooked = _metal(
        readings=(_reading(20.0, 40.0), _reading(60.0, 42.0), _reading(100.0, 40.0)),
        draft=MeasuredDraft(),
    )

    assert crooked.grooves[0].sd_mm > 2.0 * straight.grooves[0].sd_mm


def test_a_range_of_draft_opens_with_the_distance_from_the_reading():
    found = _metal(
        draft=DraftRange(
            low_rad=radians(0.5), high_rad=radians(1.5), thicker=Thicker.TOWARDS_DATUM
        )
    )

    last = found.grooves[4]
    assert last.nominal_mm == pytest.approx(22.0 - 80.0 * 0.01746, abs=0.01)
    assert last.worst_mm == pytest.approx(22.0 - 0.4 - 80.0 * tan(radians(1.5)))


def test_a_range_with_unknown_way_takes_the_worse_one():
    found = _metal(draft=DraftRange(low_rad=radians(0.5), high_rad=radians(1.5)))

    assert found.grooves[4].nominal_mm == pytest.approx(22.0)
    assert found.grooves[4].worst_mm == pytest.approx(21.6 - 80.0 * tan(radians(1.5)))


def test_a_reading_from_the_slot_is_a_reading_of_that_groove():
    found = _metal(
        readings=(
            ThicknessReading(
                axial_mm=20.0,
                thickness_mm=22.0,
                sd_mm=0.2,
                surface=Surface.BOTTOM,
                groove=1,
            ),
        )
    )

    assert found.grooves[0].nominal_mm == pytest.approx(22.0)
    assert any("not noted" in str(each) for each in found.cautions)


@pytest.mark.parametrize("groove", [None, 9])
def test_a_reading_from_the_slot_of_no_groove_is_refused(groove):
    with pytest.raises(OutsideValidity, match="groove of a reading from the bottom"):
        _metal(
            readings=(
                ThicknessReading(
                    axial_mm=20.0,
                    thickness_mm=22.0,
                    sd_mm=0.2,
                    surface=Surface.BOTTOM,
                    groove=groove,
                ),
            )
        )


def test_one_reading_may_have_met_the_thick_spot():
    found = _metal(runout=CastRunout(indicator_mm=2.0))

    assert found.grooves[0].nominal_mm == pytest.approx(22.0 - 1.0)
    assert found.grooves[0].worst_mm == pytest.approx(22.0 - 2.0 - 0.4)


def test_readings_evenly_round_the_rim_cancel_the_unknown_phase():
    four = tuple(_reading(20.0, 40.0, angle) for angle in (0.0, 90.0, 180.0, 270.0))

    found = _metal(readings=four, runout=CastRunout(indicator_mm=2.0))

    assert found.grooves[0].worst_mm == pytest.approx(22.0 - 1.0 - 2.0 * 0.1)


def test_opposite_readings_cancel_run_out_but_not_ovality():
    two = (_reading(20.0, 40.0, 0.0), _reading(20.0, 40.0, 180.0))

    eccentric = _metal(readings=two, runout=CastRunout(indicator_mm=2.0, ovality_mm=0))
    oval = _metal(readings=two, runout=CastRunout(indicator_mm=2.0, ovality_mm=4.0))
    not_told = _metal(readings=two, runout=CastRunout(indicator_mm=2.0))

    measured = 2.0 * 0.2 / sqrt(2.0)
    assert eccentric.grooves[0].worst_mm == pytest.approx(21.0 - measured)
    assert oval.grooves[0].worst_mm == pytest.approx(20.0 - measured)
    assert not_told.grooves[0].worst_mm == pytest.approx(20.0 - measured)


def test_unmeasured_run_out_leaves_no_worst_case_and_no_probability():
    found = _metal(runout=None, minimum_mm=15.0)

    assert found.grooves[0].worst_mm is None
    assert found.grooves[0].probability_below_minimum is None
    assert Term.RUNOUT_UNDERSIDE in found.missing
    assert found.thinnest == 1


def test_four_angles_at_one_place_stand_for_the_run_out():
    four = tuple(
        _reading(20.0, 40.0 + extra, angle)
        for angle, extra in ((0.0, 0.5), (90.0, 0.0), (180.0, -0.5), (270.0, 0.0))
    )

    found = _metal(readings=four, runout=None)

    assert found.grooves[0].nominal_mm == pytest.approx(21.5)
    assert Term.RUNOUT_UNDERSIDE not in found.missing


def test_angles_close_together_do_not_stand_for_the_run_out():
    close = tuple(_reading(20.0, 40.0, angle) for angle in (0.0, 1.0, 2.0, 359.5))

    assert _metal(readings=close, runout=None).grooves[0].worst_mm is None


def test_bolt_holes_can_leave_less_than_the_rim_does():
    bolts = Bolts(
        land_radius_mm=300.0,
        circle_radius_mm=262.0,
        hole_diameter_mm=18.0,
        axial_low_mm=90.0,
        axial_high_mm=120.0,
        sd_mm=0.1,
    )

    found = _metal(bolts=bolts)
    far_below = _metal(bolts=replace(bolts, circle_radius_mm=200.0))

    assert found.grooves[4].nominal_mm == pytest.approx(300.0 - 18.0 - 271.0)
    assert found.grooves[4].over_bolts
    assert found.thinnest == 5
    assert not found.grooves[0].over_bolts
    assert not far_below.grooves[4].over_bolts


def test_bolts_without_a_known_run_out_leave_the_worst_case_open():
    bolts = Bolts(
        land_radius_mm=300.0,
        circle_radius_mm=262.0,
        hole_diameter_mm=18.0,
        axial_low_mm=0.0,
        axial_high_mm=120.0,
    )

    assert _metal(bolts=bolts, runout=None).grooves[0].worst_mm is None


def test_probability_is_one_half_at_the_minimum_and_certain_without_spread():
    half = _metal(minimum_mm=22.0)

    assert half.grooves[0].probability_below_minimum == pytest.approx(0.5)
    assert rim.probability_below(nominal_mm=2.0, sd_mm=0.0, minimum_mm=3.0) == 1.0
    assert rim.probability_below(nominal_mm=4.0, sd_mm=0.0, minimum_mm=3.0) == 0.0


def test_a_makers_minimum_that_is_not_known_is_said():
    assert Term.LEAST_METAL in _metal().missing
    assert Term.LEAST_METAL not in _metal(minimum_mm=12.0).missing


def test_readings_against_the_stated_draft_are_told():
    found = _metal(
        readings=(_reading(20.0, 40.0), _reading(100.0, 36.0)),
        draft=KnownDraft(angle_rad=ONE_DEGREE, thicker=Thicker.AWAY_FROM_DATUM),
    )
    with_web = _metal(
        readings=(_reading(20.0, 40.0), _reading(50.0, 36.0), _reading(100.0, 40.0)),
        draft=KnownDraft(angle_rad=ONE_DEGREE, thicker=Thicker.TOWARDS_WEB),
        web=WEB,
    )

    assert because(Code.DRAFT_DOES_NOT_FIT) in found.cautions
    assert with_web.cautions == (because(Code.DRAFT_DOES_NOT_FIT),)


def test_no_grooves_have_no_thinnest():
    assert _metal(grooves=()).thinnest is None


@given(
    thickness_mm=st.floats(25.0, 60.0),
    draft_deg=st.floats(0.0, 5.0),
    place_mm=st.floats(0.0, 120.0),
    depth_sd_mm=st.floats(0.0, 0.5),
)
def test_mirrored_draft_gives_the_mirrored_answer(
    thickness_mm, draft_deg, place_mm, depth_sd_mm
):
    draft = KnownDraft(
        angle_rad=radians(draft_deg), thicker=Thicker.TOWARDS_DATUM, sd_rad=0.005
    )
    here = _metal(
        grooves=_grooves(sd_mm=depth_sd_mm),
        readings=(_reading(place_mm, thickness_mm),),
        draft=draft,
    )

    there = _metal(
        grooves=_grooves(tuple(-place for place in PLACES_MM), sd_mm=depth_sd_mm),
        readings=(_reading(-place_mm, thickness_mm),),
        draft=replace(draft, thicker=Thicker.AWAY_FROM_DATUM),
    )

    assert _nominals(here) == pytest.approx(_nominals(there))
    assert [each.worst_mm for each in here.grooves] == pytest.approx(
        [each.worst_mm for each in there.grooves]
    )


@given(
    thickness_mm=st.floats(25.0, 60.0),
    more_mm=st.floats(0.0, 10.0),
    indicator_mm=st.floats(0.0, 3.0),
)
def test_a_thicker_rim_is_thicker_under_every_groove(
    thickness_mm, more_mm, indicator_mm
):
    runout = CastRunout(indicator_mm=indicator_mm, sd_mm=0.1)

    thin = _metal(readings=(_reading(20.0, thickness_mm),), runout=runout)
    thick = _metal(readings=(_reading(20.0, thickness_mm + more_mm),), runout=runout)

    for low, high in zip(thin.grooves, thick.grooves, strict=True):
        assert high.nominal_mm >= low.nominal_mm
        assert high.worst_mm >= low.worst_mm


@given(
    scatter=st.lists(st.floats(-0.5, 0.5), min_size=3, max_size=6),
    indicator_mm=st.floats(0.0, 2.0),
)
def test_the_worst_case_is_never_above_the_nominal(scatter, indicator_mm):
    readings = tuple(
        _reading(20.0 + 15.0 * index, 40.0 + shift, 50.0 * index)
        for index, shift in enumerate(scatter)
    )

    found = _metal(
        readings=readings,
        draft=MeasuredDraft(),
        runout=CastRunout(indicator_mm=indicator_mm),
    )

    assert all(each.worst_mm <= each.nominal_mm for each in found.grooves)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: KnownDraft(angle_rad=0.3, thicker=Thicker.TOWARDS_WEB), "angle_rad"),
        (lambda: DraftRange(low_rad=0.03, high_rad=0.02), "low_rad is 0.03"),
        (lambda: _reading(20.0, 0.0), "thickness_mm is 0"),
        (lambda: _reading(20.0, 40.0, sd_mm=0.0), "sd_mm is 0"),
        (lambda: _reading(20.0, 40.0, angle_deg=nan), "angle_rad is nan"),
        (lambda: _grooves(depth_mm=-1.0), "bottom_depth_mm is -1"),
        (lambda: Web(axial_mm=10.0, thickness_mm=0.0), "thickness_mm is 0"),
        (lambda: CastRunout(indicator_mm=1.0, ovality_mm=2.5), "ovality_mm is 2.5"),
        (
            lambda: Bolts(
                land_radius_mm=300.0,
                circle_radius_mm=295.0,
                hole_diameter_mm=18.0,
                axial_low_mm=0.0,
                axial_high_mm=1.0,
            ),
            "below land_radius_mm, which is 300",
        ),
        (
            lambda: Bolts(
                land_radius_mm=300.0,
                circle_radius_mm=250.0,
                hole_diameter_mm=18.0,
                axial_low_mm=2.0,
                axial_high_mm=1.0,
            ),
            "axial_high_mm is 1",
        ),
        (lambda: _metal(grooves=_grooves() + _grooves()), "groove number is 1"),
        (lambda: _metal(minimum_mm=0.0), "minimum_mm is 0"),
        (lambda: rim.thickness_change_mm(width_mm=0.0, draft_rad=0.01), "width_mm"),
        (
            lambda: rim.usual_draft_rad(draw_mm=900.0, pattern=rim.Pattern.WOOD),
            "draw_mm is 900",
        ),
    ],
)
def test_a_rim_that_cannot_be_is_refused(make, message):
    with pytest.raises(OutsideValidity, match=message):
        make()


def test_angles_repeat_after_a_turn():
    once = _metal(
        readings=(_reading(20.0, 40.0, 30.0),), runout=CastRunout(indicator_mm=1.0)
    )
    later = _metal(
        readings=(replace(_reading(20.0, 40.0), angle_rad=radians(30.0) + 2.0 * pi),),
        runout=CastRunout(indicator_mm=1.0),
    )

    assert _nominals(once) == pytest.approx(_nominals(later))
