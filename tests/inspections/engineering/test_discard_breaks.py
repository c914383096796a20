from random import Random

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import (
    BreakCount,
    Distribution,
    LikeCounts,
    Observation,
    Rouge,
    Window,
)
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome, worst_of

EUROPE = criteria.find(code="EN_81_20")
AMERICA = criteria.find(code="ASME_A17_1")
JAPAN = criteria.find(code="MLIT_283")
MINES = criteria.find(code="CFR_30_56")


def _outcomes(criteria_set, **seen):
    verdicts = discard.judge_breaks(
        observation=Observation(nominal_diameter_mm=12.7, **seen),
        criteria_set=criteria_set,
    )
    return {each.criterion: each.outcome for each in verdicts}


def test_nothing_counted_is_not_assessed_and_never_in_order():
    found = _outcomes(EUROPE, strands=8)

    assert set(found.values()) == {Outcome.NOT_ASSESSED}


def test_unknown_strands_leave_the_rows_by_strands_open():
    found = _outcomes(EUROPE, breaks_total=5)

    assert found["breaks_even"] is Outcome.NOT_ASSESSED
    assert "breaks_even/8" not in found


def test_a_count_over_thirty_diameters_clears_but_does_not_condemn():
    few = _outcomes(EUROPE, strands=8, breaks_total=9, window=Window.THIRTY_DIAMETERS)
    many = _outcomes(EUROPE, strands=8, breaks_total=40, window=Window.THIRTY_DIAMETERS)

    assert few["breaks_even/8"] is Outcome.NOT_MET
    assert many["breaks_even/8"] is Outcome.NOT_ASSESSED


@pytest.mark.parametrize(
    ("seen", "outcome"),
    [
        ({"breaks_total": 9}, Outcome.NOT_MET),
        ({"breaks_total": 25, "breaks_worst_strand": 11}, Outcome.MET),
        ({"breaks_total": 25, "breaks_worst_strand": 7}, Outcome.NOT_ASSESSED),
        ({"breaks_total": 25, "breaks_worst_strand": 4}, Outcome.NOT_MET),
        ({"breaks_total": 25, "breaks_two_worst_strands": 11}, Outcome.MET),
        ({"breaks_worst_strand": 11}, Outcome.MET),
    ],
)
def test_breaks_in_two_strands_are_bounded_by_the_worst_strand(seen, outcome):
    found = _outcomes(EUROPE, strands=8, **seen)

    assert found["breaks_in_two_strands/8"] is outcome


def test_watch_limits_are_met_before_discard():
    found = _outcomes(EUROPE, strands=8, breaks_total=16, breaks_worst_strand=3)

    assert found["breaks_even_watch/8"] is Outcome.MET
    assert found["breaks_even/8"] is Outcome.NOT_MET


@pytest.mark.parametrize(
    ("seen", "outcome"),
    [
        ({"rouge": Rouge.NONE, "wires_worn_or_rusted": False}, Outcome.NOT_MET),
        ({"rouge": Rouge.TRACE}, Outcome.MET),
        ({"rouge": Rouge.NONE, "wires_worn_or_rusted": True}, Outcome.MET),
        ({"rouge": Rouge.NONE}, Outcome.NOT_ASSESSED),
        ({"wires_worn_or_rusted": False}, Outcome.NOT_ASSESSED),
    ],
)
def test_rouge_or_wear_halves_the_american_limits(seen, outcome):
    found = _outcomes(AMERICA, strands=8, breaks_total=20, **seen)

    assert found["breaks_even/8"] is outcome


def test_the_halved_limit_is_shown_with_its_reason():
    verdicts = discard.judge_breaks(
        observation=Observation(
            nominal_diameter_mm=12.7, strands=8, breaks_total=20, rouge=Rouge.HEAVY
        ),
        criteria_set=AMERICA,
    )

    assert verdicts[0].limit == 16.0
    assert "taken 0.5 times" in str(verdicts[0].reason)


def test_monthly_inspection_brings_in_the_upper_figures():
    sound = {"rouge": Rouge.NONE, "wires_worn_or_rusted": False}

    found = _outcomes(
        AMERICA, strands=8, breaks_total=36, inspected_monthly=True, **sound
    )
    other_set = _outcomes(EUROPE, strands=8, breaks_total=36, inspected_monthly=True)

    assert found["breaks_even_monthly/8"] is Outcome.NOT_MET
    assert "breaks_even/8" not in found
    assert other_set["breaks_even/8"] is Outcome.MET


@pytest.mark.parametrize(
    ("seen", "outcome"),
    [
        ({"distribution": Distribution.PREDOMINANT}, Outcome.MET),
        ({"breaks_worst_strand": 8}, Outcome.MET),
        ({}, Outcome.NOT_ASSESSED),
        ({"breaks_worst_strand": 5}, Outcome.NOT_ASSESSED),
    ],
)
def test_predominance_is_stated_or_follows_from_the_worst_strand(seen, outcome):
    sound = {"rouge": Rouge.NONE, "wires_worn_or_rusted": False}

    found = _outcomes(AMERICA, strands=8, breaks_total=14, **sound, **seen)

    assert found["breaks_predominant/8"] is outcome


@pytest.mark.parametrize(
    "seen", [{"breaks_worst_strand": 3}, {"distribution": Distribution.EVEN}]
)
def test_even_breaks_do_not_come_under_the_predominant_limit(seen):
    found = _outcomes(AMERICA, strands=8, breaks_total=14, **seen)

    assert "breaks_predominant/8" not in found


def test_no_breaks_at_all_are_evenly_spread():
    found = _outcomes(AMERICA, strands=8, breaks_total=0)

    assert "breaks_predominant/8" not in found
    assert found["breaks_even/8"] is Outcome.NOT_MET


@pytest.mark.parametrize(
    ("adjacent", "outcome"), [(3, None), (4, Outcome.MET), (None, Outcome.NOT_ASSESSED)]
)
def test_a_group_across_a_crown_brings_in_its_own_limit(adjacent, outcome):
    sound = {"rouge": Rouge.NONE, "wires_worn_or_rusted": False}

    found = _outcomes(
        AMERICA, strands=8, breaks_total=18, breaks_adjacent=adjacent, **sound
    )

    assert found.get("breaks_crown_group/8") is outcome


def test_strict_limits_for_worn_wires_wait_for_what_was_not_seen():
    unseen = _outcomes(JAPAN, strands=8, breaks_worst_strand=3, breaks_total=3)
    few = _outcomes(JAPAN, strands=8, breaks_worst_strand=2, breaks_total=2)

    assert unseen["breaks_in_one_strand_worn"] is Outcome.NOT_ASSESSED
    assert few["breaks_in_one_strand_worn"] is Outcome.NOT_MET


def test_a_limit_that_may_not_apply_says_what_was_not_seen():
    verdicts = discard.judge_breaks(
        observation=Observation(
            nominal_diameter_mm=12.7, strands=8, breaks_total=20, rouge=Rouge.TRACE
        ),
        criteria_set=AMERICA,
    )

    reasons = {each.criterion: each.reason for each in verdicts}
    assert "adjacent breaks across a crown" in str(reasons["breaks_crown_group/8"])
    assert "how the breaks lie" in str(reasons["breaks_predominant/8"])


def test_shares_need_the_number_of_wires_and_of_strands():
    without = _outcomes(MINES, breaks_total=3)
    strands_unknown = _outcomes(MINES, wires_per_rope=114, breaks_total=3)
    uncounted = _outcomes(MINES, strands=6, wires_per_rope=114)

    assert without["breaks_share_of_lay"] is Outcome.NOT_ASSESSED
    assert strands_unknown["breaks_share_of_lay"] is Outcome.NOT_MET
    assert strands_unknown["breaks_share_of_strand"] is Outcome.NOT_ASSESSED
    assert uncounted["breaks_share_of_lay"] is Outcome.NOT_ASSESSED


@pytest.mark.parametrize(
    ("seen", "message"),
    [
        ({"breaks_total": -1}, "breaks_total is -1"),
        ({"breaks_worst_strand": -3}, "breaks_worst_strand is -3"),
        ({"strands": 0}, "strands is 0"),
        ({"diameters_mm": (12.0, 12.1, 12.2)}, "at most 2, at right angles"),
        ({"diameters_mm": (-1.0,)}, "diameters_mm is -1"),
    ],
)
def test_an_observation_that_cannot_be_is_refused(seen, message):
    with pytest.raises(OutsideValidity, match=message):
        Observation(nominal_diameter_mm=12.7, **seen)


def _several_counts(number):
    """Return a rope that was counted several times, every number known exactly."""
    chance = Random(number)
    counts = []
    for _ in range(chance.randint(2, 5)):
        two = chance.randint(0, 14)
        one = chance.randint((two + 1) // 2, two)
        counts.append(
            BreakCount(
                total=two + chance.randint(0, 20),
                worst_strand=one,
                two_worst_strands=two,
                adjacent=chance.randint(0, one),
                valley=chance.randint(0, 2),
            )
        )
    rouge = chance.choice([None, *Rouge])
    worn = chance.choice([None, True, False])
    return [
        Observation(
            nominal_diameter_mm=12.7,
            strands=8,
            rouge=rouge,
            wires_worn_or_rusted=worn,
            further=tuple(some),
        )
        for some in (counts, *([each] for each in counts))
    ]


@pytest.mark.parametrize("criteria_set", [EUROPE, AMERICA, JAPAN, MINES])
def test_several_exact_counts_say_what_the_worst_of_them_says_alone(criteria_set):
    for number in range(60):
        whole, *alone = _several_counts(number)

        found = discard.judge_breaks(observation=whole, criteria_set=criteria_set)

        singly = [
            verdict
            for each in alone
            for verdict in discard.judge_breaks(
                observation=each, criteria_set=criteria_set
            )
        ]
        assert set(found) == set(worst_of(verdicts=tuple(singly)))


def test_ropes_that_share_what_was_said_of_like_counts_say_the_same():
    like = LikeCounts()

    for number in range(60):
        rope = _several_counts(number)[0]

        shared = discard.judge_breaks(observation=rope, criteria_set=AMERICA, like=like)

        alone = discard.judge_breaks(observation=rope, criteria_set=AMERICA)
        assert repr(shared) == repr(alone)
    assert like.said
