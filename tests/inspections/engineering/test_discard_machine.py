from dataclasses import replace
from math import nan

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.source import Certainty, Source
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome

EUROPE = criteria.find(code="EN_81_20")
CHINA = criteria.find(code="TSG_T7001")


def test_tension_is_judged_on_the_whole_set_only():
    found = discard.judge_tension_spread(
        tensions_n=(4000.0, 4600.0), ropes=3, criteria_set=EUROPE
    )

    assert {each.outcome for each in found} == {Outcome.NOT_ASSESSED}
    assert "2 of 3 ropes were read" in str(found[0].reason)


def test_deviation_from_the_mean_is_judged_where_the_set_has_it():
    found = discard.judge_tension_spread(
        tensions_n=(4000.0, 4100.0, 4500.0), ropes=3, criteria_set=CHINA
    )

    assert found[1].outcome is Outcome.MET
    assert found[1].value == pytest.approx(7.14, abs=0.01)


def test_spread_scales_with_the_unit_of_tension():
    newtons = discard.judge_tension_spread(
        tensions_n=(4000.0, 4500.0), ropes=2, criteria_set=EUROPE
    )
    index = discard.judge_tension_spread(
        tensions_n=(1.0, 1.125), ropes=2, criteria_set=EUROPE
    )

    assert newtons[0].value == pytest.approx(index[0].value)


def test_a_tension_of_zero_is_refused():
    with pytest.raises(OutsideValidity, match="tensions_n is 0"):
        discard.judge_tension_spread(
            tensions_n=(0.0, 1.0), ropes=2, criteria_set=EUROPE
        )


@pytest.mark.parametrize(
    ("runby_mm", "outcome"),
    [(-5.0, Outcome.MET), (50.0, Outcome.NOT_MET), (None, Outcome.NOT_ASSESSED)],
)
def test_runby_may_be_negative_and_is_then_met(runby_mm, outcome):
    counterweight, car = discard.judge_runby(
        counterweight_mm=runby_mm, car_mm=200.0, criteria_set=EUROPE
    )

    assert counterweight.outcome is outcome
    assert car.outcome is Outcome.NOT_MET


def test_a_runby_that_is_no_number_is_refused():
    with pytest.raises(OutsideValidity, match="counterweight_runby_least is nan"):
        discard.judge_runby(counterweight_mm=nan, car_mm=None, criteria_set=EUROPE)


@pytest.mark.parametrize(
    ("speed_m_s", "outcomes"),
    [
        (1.47, (Outcome.MET, Outcome.NOT_MET)),
        (1.6, (Outcome.NOT_MET, Outcome.NOT_MET)),
        (1.69, (Outcome.NOT_MET, Outcome.MET)),
        (None, (Outcome.NOT_ASSESSED, Outcome.NOT_ASSESSED)),
    ],
)
def test_speed_has_a_window(speed_m_s, outcomes):
    found = discard.judge_speed(
        speed_m_s=speed_m_s, rated_speed_m_s=1.6, criteria_set=EUROPE
    )

    assert tuple(each.outcome for each in found) == outcomes


@pytest.mark.parametrize(
    ("readings", "outcomes"),
    [
        ((), (Outcome.NOT_ASSESSED, Outcome.NOT_ASSESSED)),
        ((170.0,), (Outcome.MET, Outcome.NOT_ASSESSED)),
        ((200.0, 210.0), (Outcome.NOT_MET, Outcome.NOT_MET)),
        ((200.0, 216.0), (Outcome.NOT_MET, Outcome.MET)),
    ],
)
def test_hardness_is_judged_at_the_softest_place_and_by_spread(readings, outcomes):
    found = discard.judge_hardness(hardness_hb=readings, criteria_set=EUROPE)

    assert tuple(each.outcome for each in found) == outcomes


def test_a_set_without_the_limit_says_so():
    (low, _) = discard.judge_speed(
        speed_m_s=1.5,
        rated_speed_m_s=1.6,
        criteria_set=replace(EUROPE, limits=()),
    )

    assert low.outcome is Outcome.NOT_ASSESSED
    assert "EN_81_20 has no limit" in str(low.reason)


def test_ropes_as_built_are_held_against_the_set():
    found = discard.judge_as_built(
        ropes=2,
        rope_diameter_mm=8.0,
        sheave_diameter_mm=315.0,
        criteria_set=criteria.find(code="ASME_A17_1"),
    )

    assert {each.outcome for each in found} == {Outcome.MET}


@pytest.mark.parametrize(
    ("code", "given", "outcome"),
    [
        ("EN_81_20", {"equivalent_pulleys": 5.0}, Outcome.NOT_MET),
        ("EN_81_20", {"equivalent_pulleys": 10.0}, Outcome.MET),
        ("EN_81_20", {}, Outcome.NOT_ASSESSED),
        ("TSG_T7001", {"equivalent_pulleys": 10.0}, Outcome.MET),
        ("ASME_A17_1", {"rope_speed_m_s": 2.54}, Outcome.NOT_MET),
        ("ASME_A17_1", {}, Outcome.NOT_ASSESSED),
        ("MLIT_283", {"equivalent_pulleys": 5.0}, Outcome.NOT_ASSESSED),
    ],
)
def test_required_safety_factor_goes_by_family(code, given, outcome):
    found = discard.judge_safety_factor(
        actual=15.0,
        ropes=5,
        diameter_ratio=40.0,
        criteria_set=criteria.find(code=code),
        **given,
    )

    assert found.outcome is outcome


def test_two_ropes_have_a_higher_floor_and_an_override_counts():
    own = criteria.override(
        criteria_set=EUROPE,
        values={"safety_factor_three_ropes": 13.0},
        source=Source(document="own copy", certainty=Certainty.ENTERED),
    )
    given = {"actual": 15.0, "diameter_ratio": 40.0, "equivalent_pulleys": 2.0}

    two = discard.judge_safety_factor(ropes=2, criteria_set=EUROPE, **given)
    three = discard.judge_safety_factor(ropes=3, criteria_set=own, **given)

    assert (two.limit, two.outcome) == (16.0, Outcome.MET)
    assert (three.limit, three.outcome) == (13.0, Outcome.NOT_MET)


def test_an_american_verdict_cites_the_speed_table():
    found = discard.judge_safety_factor(
        actual=9.0,
        ropes=4,
        diameter_ratio=40.0,
        rope_speed_m_s=2.54,
        criteria_set=criteria.find(code="ASME_A17_1"),
    )

    assert found.limit == pytest.approx(10.25)
    assert "2.20.3" in found.source.text


def test_any_key_can_be_judged_by_its_name():
    found = discard.judge_value(
        criteria_set=EUROPE, key="bottom_clearance_least", value=None
    )

    assert found.outcome is Outcome.NOT_ASSESSED
    with pytest.raises(KeyError):
        discard.judge_value(criteria_set=EUROPE, key="nothing", value=1.0)


@pytest.mark.parametrize(
    ("tensions_n", "ropes", "spread", "slack"),
    [
        ((800.0, 4000.0, 4000.0, 4000.0), 4, Outcome.MET, Outcome.MET),
        ((800.0, 4000.0), 5, Outcome.MET, Outcome.MET),
        ((3000.0, 4300.0, 4300.0), 3, Outcome.MET, Outcome.NOT_MET),
        ((3900.0, 4000.0, 4300.0), 3, Outcome.NOT_MET, Outcome.NOT_MET),
        ((3900.0, 4000.0), 3, Outcome.NOT_ASSESSED, Outcome.NOT_ASSESSED),
        ((3900.0,), 3, Outcome.NOT_ASSESSED, Outcome.NOT_ASSESSED),
    ],
)
def test_slack_rope_acts_even_where_not_all_ropes_were_read(
    tensions_n, ropes, spread, slack
):
    found = discard.judge_tension_action(
        tensions_n=tensions_n, ropes=ropes, criteria_set=EUROPE
    )

    assert [each.outcome for each in found] == [spread, slack]
