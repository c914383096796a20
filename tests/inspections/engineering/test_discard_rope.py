import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import Observation, OuterStrand, Rouge
from inspections.engineering.source import Certainty, Source
from inspections.engineering.verdict import Outcome

EUROPE = criteria.find(code="EN_81_20")
AMERICA = criteria.find(code="ASME_A17_1")
NEWER = criteria.find(code="ASME_A17_6")
JAPAN = criteria.find(code="MLIT_283")
HOISTS = criteria.find(code="WAC_296_155")
OWN = Source(document="own copy", certainty=Certainty.ENTERED)


def _diameter(criteria_set, **seen):
    verdicts = discard.judge_diameter(
        observation=Observation(**{"nominal_diameter_mm": 12.7, **seen}),
        criteria_set=criteria_set,
    )
    return {each.criterion: each.outcome for each in verdicts}


@pytest.mark.parametrize(
    ("diameters_mm", "outcome"),
    [
        ((), Outcome.NOT_ASSESSED),
        ((11.8,), Outcome.MET),
        ((12.5,), Outcome.NOT_ASSESSED),
        ((12.5, 12.6), Outcome.NOT_MET),
        ((12.5, 11.8), Outcome.MET),
    ],
)
def test_the_smaller_direction_decides_in_europe(diameters_mm, outcome):
    found = _diameter(EUROPE, diameters_mm=diameters_mm)

    assert found == {"diameter_reduction_nominal": outcome}


@pytest.mark.parametrize(
    ("diameters_mm", "outcome"),
    [
        ((11.8,), Outcome.NOT_ASSESSED),
        ((12.5,), Outcome.NOT_MET),
        ((12.5, 11.8), Outcome.NOT_MET),
        ((11.7, 11.8), Outcome.MET),
    ],
)
def test_both_directions_must_be_low_in_america(diameters_mm, outcome):
    found = _diameter(AMERICA, diameters_mm=diameters_mm)

    assert found == {"diameter_least@12.7": outcome}


def test_one_low_direction_in_america_is_told():
    verdicts = discard.judge_diameter(
        observation=Observation(nominal_diameter_mm=12.7, diameters_mm=(12.5, 11.8)),
        criteria_set=AMERICA,
    )

    assert "one direction of two is past the limit" in str(verdicts[0].reason)


def test_a_metric_rope_has_no_row_in_the_inch_table():
    found = _diameter(AMERICA, nominal_diameter_mm=13.0, diameters_mm=(11.0, 11.0))

    assert set(found.values()) == {Outcome.NOT_ASSESSED}


def test_a_set_with_gaps_gives_no_verdict():
    found = _diameter(NEWER, diameters_mm=(11.0, 11.0))

    assert set(found.values()) == {Outcome.NOT_ASSESSED}


def test_the_unworn_part_must_have_been_measured():
    found = _diameter(JAPAN, diameters_mm=(11.0, 11.0), rouge=Rouge.NONE)

    assert set(found.values()) == {Outcome.NOT_ASSESSED}


def test_unseen_rouge_leaves_only_the_stricter_limit_open():
    lost = {"diameters_mm": (11.7, 11.7), "unworn_diameter_mm": 12.7}

    found = _diameter(JAPAN, **lost)

    assert found["diameter_reduction_unworn"] is Outcome.NOT_MET
    assert found["diameter_reduction_rouge"] is Outcome.NOT_ASSESSED


def test_loss_in_millimetres_goes_by_nominal():
    found = _diameter(HOISTS, diameters_mm=(11.4, 11.6))

    assert found == {"diameter_loss_most@12.7": Outcome.MET}


@pytest.mark.parametrize(
    ("criteria_set", "rouge", "outcome"),
    [
        (JAPAN, Rouge.TRACE, Outcome.NOT_MET),
        (JAPAN, None, Outcome.NOT_ASSESSED),
        (EUROPE, Rouge.HEAVY, Outcome.NOT_ASSESSED),
    ],
)
def test_rouge_is_judged_where_the_set_says_so(criteria_set, rouge, outcome):
    verdict = discard.judge_rouge(
        observation=Observation(nominal_diameter_mm=12.7, rouge=rouge),
        criteria_set=criteria_set,
    )

    assert verdict.outcome is outcome


def test_outer_wires_not_seen_are_not_assessed():
    verdict = discard.judge_outer_wires(
        observation=Observation(nominal_diameter_mm=12.7), criteria_set=HOISTS
    )

    assert verdict.outcome is Outcome.NOT_ASSESSED
    assert "missing: wear of an outer wire" in str(verdict.reason)


@pytest.mark.parametrize(
    ("nominal_mm", "flat_mm", "outcome"),
    [
        (12.0, 4.1, Outcome.NOT_MET),
        (12.0, 4.2, Outcome.MET),
        (12.0, None, Outcome.NOT_ASSESSED),
        (13.0, 4.2, Outcome.NOT_ASSESSED),
    ],
)
def test_crown_flat_goes_by_nominal_and_strand(nominal_mm, flat_mm, outcome):
    verdict = discard.judge_crown_flat(
        observation=Observation(
            nominal_diameter_mm=nominal_mm,
            outer_strand=OuterStrand.SEALE,
            crown_flat_mm=flat_mm,
        ),
        criteria_set=JAPAN,
    )

    assert verdict.outcome is outcome


def test_lay_length_is_judged_once_a_limit_is_entered():
    own = criteria.override(
        criteria_set=EUROPE, values={"lay_length_growth": 5.0}, source=OWN
    )
    grown = Observation(
        nominal_diameter_mm=13.0, lay_length_mm=90.0, lay_length_as_fitted_mm=84.5
    )
    half_known = Observation(nominal_diameter_mm=13.0, lay_length_mm=90.0)

    assert (
        discard.judge_lay_length(observation=grown, criteria_set=own).outcome
        is Outcome.MET
    )
    assert (
        discard.judge_lay_length(observation=half_known, criteria_set=own).outcome
        is Outcome.NOT_ASSESSED
    )


def test_a_whole_rope_gives_a_verdict_for_every_rule_of_the_set():
    verdicts = discard.judge_rope(
        observation=Observation(
            nominal_diameter_mm=12.0,
            strands=8,
            outer_strand=OuterStrand.FILLER,
            crown_flat_mm=1.0,
        ),
        criteria_set=JAPAN,
    )

    names = {each.criterion for each in verdicts}
    assert {"breaks_even/8", "rouge_most", "crown_flat_filler@12"} <= names
    assert all(each.reason for each in verdicts)
