"""Broken wires: worse or less is never better, whatever the set says by its letter."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.engineering import criteria, discard
from inspections.engineering.answer import Answer
from inspections.engineering.discard import (
    BreakCount,
    Distribution,
    Observation,
    Rouge,
    Window,
)
from inspections.engineering.verdict import Outcome

LIFT_SETS = [each for each in criteria.ALL if not each.comparison_only]
SEEN = {"rouge": Rouge.NONE, "wires_worn_or_rusted": False}


def judged(code_or_set, **seen):
    chosen = (
        criteria.find(code=code_or_set) if isinstance(code_or_set, str) else code_or_set
    )
    verdicts = discard.judge_breaks(
        observation=Observation(
            nominal_diameter_mm=13.0, **({"strands": 8} | SEEN | seen)
        ),
        criteria_set=chosen,
    )
    return {each.criterion.split("/")[0]: each for each in verdicts}


def is_condemned(code, **seen):
    return any(
        each.outcome is Outcome.MET and each.stage == "limit"
        for each in judged(code, **seen).values()
    )


@pytest.mark.parametrize("seen", [{}, {"rouge": None, "wires_worn_or_rusted": None}])
def test_180_breaks_in_one_lay_condemn_whichever_way_they_lie(seen):
    assert is_condemned("TSG_T7001", breaks_total=180, **seen)


def test_each_way_condemns_the_180_breaks_by_a_limit_of_its_own():
    for word in Distribution:
        assert is_condemned("TSG_T7001", breaks_total=180, distribution=word)


def test_hundred_breaks_over_thirty_diameters_are_not_in_order():
    found = judged("EN_81_20", breaks_total=100, window=Window.THIRTY_DIAMETERS)

    assert found["breaks_even_watch"].outcome is Outcome.MET
    assert found["breaks_even"].outcome is Outcome.NOT_ASSESSED
    assert is_condemned("EN_81_20", breaks_total=155, window=Window.THIRTY_DIAMETERS)


def test_later_count_over_thirty_diameters_does_not_clear_forty_in_a_lay():
    later = BreakCount(window=Window.THIRTY_DIAMETERS, total=45)

    assert is_condemned("EN_81_20", breaks_total=40)
    assert is_condemned("EN_81_20", breaks_total=40, further=(later,))
    assert is_condemned(
        "EN_81_20",
        breaks_total=45,
        window=Window.THIRTY_DIAMETERS,
        further=(BreakCount(total=40),),
    )


def test_forty_last_year_and_two_this_year_are_forty():
    assert is_condemned("EN_81_20", breaks_total=2, further=(BreakCount(total=40),))


@pytest.mark.parametrize("total", [17, 18, 19, 25, 31])
def test_two_strands_with_nine_condemn_whatever_else_is_broken(total):
    assert is_condemned("ASME_A17_1", breaks_total=total, breaks_two_worst_strands=9)


def test_eighteen_with_their_spread_unseen_are_open_and_not_in_order():
    found = judged("ASME_A17_1", breaks_total=18)

    assert found["breaks_predominant"].answer is Answer.OPEN


def test_adjacent_breaks_above_the_total_do_not_drop_the_rope():
    found = judged("EN_81_20", breaks_total=2, breaks_adjacent=5)

    assert found["breaks_adjacent"].outcome is Outcome.MET
    assert found["breaks_even"].value == 5


def test_strand_above_the_total_raises_the_total():
    assert is_condemned("EN_81_20", breaks_total=3, breaks_worst_strand=31)


def test_count_that_leaves_adjacent_breaks_out_does_not_open_what_was_counted():
    earlier = BreakCount(total=3, adjacent=2)

    found = judged("EN_81_20", breaks_total=3, further=(earlier,))

    assert found["breaks_adjacent"].outcome is Outcome.NOT_MET


counts = st.fixed_dictionaries(
    {},
    optional={
        "total": st.integers(0, 60),
        "worst_strand": st.integers(0, 20),
        "two_worst_strands": st.integers(0, 30),
        "adjacent": st.integers(0, 8),
        "valley": st.integers(0, 4),
        "window": st.sampled_from(Window),
        "distribution": st.sampled_from(Distribution),
    },
).map(lambda given: BreakCount(**given))
sets = st.sampled_from(LIFT_SETS)
RANK = {Answer.WITHIN: 0, Answer.OPEN: 1, Answer.BEYOND: 1}


def of_counts(chosen, strands, *counted):
    return discard.judge_breaks(
        observation=Observation(
            nominal_diameter_mm=13.0, strands=strands, further=counted, **SEEN
        ),
        criteria_set=chosen,
    )


def ranks(verdicts):
    return {each.criterion: RANK[each.answer] for each in verdicts}


@settings(max_examples=400, deadline=None)
@given(
    chosen=sets,
    strands=st.sampled_from([6, 8, None]),
    counted=counts,
    name=st.sampled_from(
        ["total", "worst_strand", "two_worst_strands", "adjacent", "valley"]
    ),
    more=st.integers(1, 12),
)
def test_higher_count_never_turns_open_or_beyond_into_within(
    chosen, strands, counted, name, more
):
    value = getattr(counted, name)
    if value is None:
        return
    worse = replace(counted, **{name: value + more})

    before = ranks(of_counts(chosen, strands, counted))
    after = ranks(of_counts(chosen, strands, worse))

    for criterion, rank in before.items():
        # A limit that is no longer told is one that no longer applies.
        assert after.get(criterion, 0) >= rank, criterion


@settings(max_examples=300, deadline=None)
@given(chosen=sets, strands=st.sampled_from([6, 8]), first=counts, second=counts)
def test_another_count_never_clears_what_one_has_condemned(
    chosen, strands, first, second
):
    alone = of_counts(chosen, strands, first)
    both = {v.criterion: v.outcome for v in of_counts(chosen, strands, first, second)}

    for each in alone:
        if each.outcome is Outcome.MET:
            assert both[each.criterion] is Outcome.MET


@settings(max_examples=300, deadline=None)
@given(
    chosen=sets,
    strands=st.sampled_from([6, 8]),
    counted=counts,
    name=st.sampled_from(["worst_strand", "two_worst_strands", "adjacent", "valley"]),
)
def test_count_not_made_never_turns_beyond_into_within(chosen, strands, counted, name):
    less = replace(counted, **{name: None})
    total, two, one = counted.total, counted.two_worst_strands, counted.worst_strand
    chain = [counted.adjacent, one, two, total]
    known = [each for each in chain if each is not None]
    if less.least_total != counted.least_total or known != sorted(known):
        return  # A number above the others was taken away: no good reading.
    if one is not None and two is not None and two > 2 * one:
        return
    if None not in (one, two, total) and two < one + -(-(total - one) // (strands - 1)):
        return  # What is not in the worst strand needs a second one with more.

    before = of_counts(chosen, strands, counted)
    after = {v.criterion: v.answer for v in of_counts(chosen, strands, less)}

    for each in before:
        if each.answer is Answer.BEYOND:
            assert after.get(each.criterion) is not Answer.WITHIN
