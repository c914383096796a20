import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.answer import Answer
from inspections.engineering.discard import (
    Lubrication,
    Observation,
    OuterStrand,
    Rouge,
)
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

    assert "one direction of two lies beyond the limit" in str(verdicts[0].reason)


@pytest.mark.parametrize(
    ("nominal_mm", "diameter_mm", "outcome"),
    [
        (13.0, 11.2, Outcome.MET),
        (13.0, 12.2, Outcome.MET),
        (13.0, 12.3, Outcome.NOT_MET),
        (8.0, 7.5, Outcome.MET),
        (8.0, 7.6, Outcome.NOT_MET),
        (12.7, 11.9, Outcome.MET),
        (12.7, 12.0, Outcome.NOT_MET),
    ],
)
def test_metric_rope_gets_the_stricter_of_the_inch_rows_next_to_it(
    nominal_mm, diameter_mm, outcome
):
    found = _diameter(
        AMERICA, nominal_diameter_mm=nominal_mm, diameters_mm=(diameter_mm,) * 2
    )

    assert set(found.values()) == {outcome}


def test_row_carried_to_another_size_says_from_where():
    verdict = discard.judge_diameter(
        observation=Observation(nominal_diameter_mm=13.0, diameters_mm=(11.2, 11.2)),
        criteria_set=AMERICA,
    )[0]

    assert "diameter_least@14.2875" in str(verdict.reason)
    assert verdict.source.certainty is Certainty.DERIVED


@pytest.mark.parametrize("nominal_mm", [12.7, 13.0])
def test_table_that_was_not_entered_condemns_by_that_of_the_older_set(nominal_mm):
    found = _diameter(
        NEWER,
        nominal_diameter_mm=nominal_mm,
        diameters_mm=(11.2, 11.2),
        rouge=Rouge.TRACE,
    )

    assert set(found.values()) == {Outcome.MET}


@pytest.mark.parametrize(
    ("diameter_mm", "outcome"),
    [(12.65, Outcome.NOT_MET), (12.0, Outcome.NOT_ASSESSED), (11.8, Outcome.MET)],
)
def test_borrowed_table_clears_only_a_rope_that_has_hardly_worn(diameter_mm, outcome):
    found = _diameter(NEWER, diameters_mm=(diameter_mm,) * 2, rouge=Rouge.NONE)

    assert set(found.values()) == {outcome}


def test_table_that_was_entered_is_not_borrowed():
    own = criteria.override(
        criteria_set=NEWER, values={"diameter_least@12.7": 12.1}, source=OWN
    )

    found = _diameter(own, diameters_mm=(12.05, 12.05), rouge=Rouge.NONE)

    assert found["diameter_least@12.7"] is Outcome.MET


@pytest.mark.parametrize(
    ("diameter_mm", "outcome", "answer"),
    [
        (12.9, Outcome.NOT_MET, Answer.WITHIN),
        (12.0, Outcome.NOT_ASSESSED, Answer.OPEN),
        (11.8, Outcome.MET, Answer.OPEN),
        (11.6, Outcome.MET, Answer.BEYOND),
    ],
)
def test_unworn_part_not_measured_leaves_the_loss_between_two_values(
    diameter_mm, outcome, answer
):
    verdicts = discard.judge_diameter(
        observation=Observation(
            nominal_diameter_mm=13.0,
            diameters_mm=(diameter_mm,) * 2,
            rouge=Rouge.NONE,
        ),
        criteria_set=JAPAN,
    )

    found = {each.criterion: each for each in verdicts}["diameter_reduction_unworn"]
    assert (found.outcome, found.answer) == (outcome, answer)


def test_unworn_part_that_was_measured_decides():
    found = _diameter(
        JAPAN, diameters_mm=(11.8, 11.8), unworn_diameter_mm=12.7, rouge=Rouge.NONE
    )

    assert found["diameter_reduction_unworn"] is Outcome.NOT_MET


@pytest.mark.parametrize("code", [each.code for each in criteria.ALL])
@pytest.mark.parametrize("nominal_mm", [8.0, 9.525, 10.0, 12.7, 13.0, 16.0, 19.05])
def test_every_set_answers_for_the_diameter_of_metric_and_inch_ropes(code, nominal_mm):
    chosen = criteria.find(code=code)

    thin = _diameter(
        chosen,
        nominal_diameter_mm=nominal_mm,
        diameters_mm=(0.85 * nominal_mm,) * 2,
        rouge=Rouge.TRACE,
    )

    assert Outcome.MET in thin.values()


@pytest.mark.parametrize("order", [1, -1])
def test_thicker_place_does_not_clear_a_thinner_one(order):
    places = [
        Observation(nominal_diameter_mm=13.0, diameters_mm=(12.0, 12.0)),
        Observation(nominal_diameter_mm=13.0, diameters_mm=(12.25, 12.25)),
    ][::order]

    verdicts = discard.judge_stations(observations=tuple(places), criteria_set=EUROPE)

    found = {each.criterion: each for each in verdicts}["diameter_reduction_nominal"]
    assert found.outcome is Outcome.MET
    assert found.value == pytest.approx(100 / 13)


@pytest.mark.parametrize("order", [1, -1])
def test_worst_rouge_of_all_places_counts_everywhere(order):
    places = [
        Observation(nominal_diameter_mm=12.7, rouge=Rouge.HEAVY),
        Observation(
            nominal_diameter_mm=12.7, rouge=Rouge.NONE, strands=8, breaks_total=20
        ),
    ][::order]

    japan = discard.judge_stations(observations=tuple(places), criteria_set=JAPAN)
    america = discard.judge_stations(observations=tuple(places), criteria_set=AMERICA)

    assert {v.criterion: v.outcome for v in japan}["rouge_most"] is Outcome.MET
    assert {v.criterion: v.outcome for v in america}["breaks_even/8"] is Outcome.MET


def test_place_without_a_reading_opens_nothing_that_another_has_shown():
    whole = Observation(
        nominal_diameter_mm=13.0, strands=8, breaks_total=2, diameters_mm=(12.9, 12.9)
    )
    less = Observation(nominal_diameter_mm=13.0, strands=8, rouge=Rouge.NONE)

    verdicts = discard.judge_stations(observations=(whole, less), criteria_set=EUROPE)

    found = {each.criterion: each.outcome for each in verdicts}
    assert found["breaks_even/8"] is Outcome.NOT_MET
    assert found["diameter_reduction_nominal"] is Outcome.NOT_MET


@pytest.mark.parametrize(
    ("seen", "criterion", "outcome"),
    [
        ({"deformation_seen": True}, "deformation_most", Outcome.MET),
        ({"deformation_seen": False}, "deformation_most", Outcome.NOT_MET),
        ({"twist_seen": True}, "twist_most", Outcome.MET),
        ({"wires_worn_or_rusted": True}, "worn_or_rusted_most", Outcome.MET),
        ({"lubrication": Lubrication.DRY}, "dryness_most", Outcome.MET),
        ({"lubrication": Lubrication.WET}, "wetness_most", Outcome.MET),
        ({"lubrication": Lubrication.SMUDGE}, "wetness_most", Outcome.NOT_MET),
        ({"lubrication": Lubrication.WET}, "dryness_most", Outcome.NOT_MET),
    ],
)
def test_what_eye_and_finger_find_is_judged_and_else_not_told(seen, criterion, outcome):
    def conditions(**given):
        verdicts = discard.judge_condition(
            observation=Observation(nominal_diameter_mm=13.0, **given),
            criteria_set=EUROPE,
        )
        return {each.criterion: each.outcome for each in verdicts}

    assert conditions(**seen)[criterion] is outcome
    assert conditions() == {}


@pytest.mark.parametrize(
    ("flat_mm", "outcome"),
    [(3.9, Outcome.NOT_MET), (4.3, Outcome.NOT_ASSESSED), (4.9, Outcome.MET)],
)
def test_flat_of_a_rope_whose_strands_are_not_known_is_open_between_all(
    flat_mm, outcome
):
    verdict = discard.judge_crown_flat(
        observation=Observation(nominal_diameter_mm=12.0, crown_flat_mm=flat_mm),
        criteria_set=JAPAN,
    )

    assert verdict.outcome is outcome


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
        (13.0, 4.2, Outcome.MET),
        (13.0, 4.1, Outcome.NOT_MET),
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


@pytest.mark.parametrize(
    "code", [each.code for each in criteria.ALL if not each.comparison_only]
)
@pytest.mark.parametrize("nominal_mm", [8.0, 12.7, 13.0, 19.05])
def test_loss_that_is_allowed_is_where_the_verdict_turns(code, nominal_mm):
    chosen = criteria.find(code=code)
    loss_mm, limit = discard.loss_allowed_mm(
        criteria_set=chosen, nominal_diameter_mm=nominal_mm
    )

    def outcome(lost_mm):
        verdicts = discard.judge_diameter(
            observation=Observation(
                nominal_diameter_mm=nominal_mm,
                diameters_mm=(nominal_mm - lost_mm,) * 2,
                rouge=Rouge.NONE,
            ),
            criteria_set=chosen,
        )
        return next(v.outcome for v in verdicts if v.criterion.startswith(limit.key))

    assert outcome(loss_mm + 0.01) is Outcome.MET
    assert outcome(loss_mm - 0.01) is not Outcome.MET
