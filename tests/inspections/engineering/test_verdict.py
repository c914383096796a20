from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.engineering import limit as limits
from inspections.engineering import verdict
from inspections.engineering.answer import Answer
from inspections.engineering.limit import Bound, Limit, Stage
from inspections.engineering.source import Certainty, Source
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome
from inspections.reasons import Code, Term, because

TEN = Limit(
    key="breaks_even",
    words="broken wires",
    value=10.0,
    unit="wires",
    bound=Bound.AT_MOST,
    stage=Stage.LIMIT,
    source=Source(document="a standard", certainty=Certainty.CONFIRMED),
)
HALVED = because(Code.LIMIT_TAKEN_TIMES, limit=20.0, factor=0.5)


@pytest.mark.parametrize(
    ("bound", "value", "outcome"),
    [
        (Bound.AT_MOST, 10.0, Outcome.NOT_MET),
        (Bound.AT_MOST, 10.1, Outcome.MET),
        (Bound.BELOW, 9.9, Outcome.NOT_MET),
        (Bound.BELOW, 10.0, Outcome.MET),
        (Bound.AT_LEAST, 10.0, Outcome.NOT_MET),
        (Bound.AT_LEAST, 9.9, Outcome.MET),
        (Bound.ABOVE, 10.1, Outcome.NOT_MET),
        (Bound.ABOVE, 10.0, Outcome.MET),
    ],
)
def test_each_bound_knows_which_side_is_in_order(bound, value, outcome):
    found = verdict.judge(limit=replace(TEN, bound=bound), value=value)

    assert found.outcome is outcome


@given(value=st.floats(-1e6, 1e6), bound=st.sampled_from(Bound))
def test_a_positive_margin_is_always_good(value, bound):
    found = verdict.judge(limit=replace(TEN, bound=bound), value=value)

    assert found.margin is not None
    if found.margin > 0.0:
        assert found.outcome is Outcome.NOT_MET
    if found.margin < 0.0:
        assert found.outcome is Outcome.MET


@pytest.mark.parametrize(
    ("bound", "outcome"),
    [(Bound.AT_LEAST, Outcome.NOT_MET), (Bound.ABOVE, Outcome.MET)],
)
def test_a_share_that_equals_its_limit_is_equal_to_the_last_digit(bound, outcome):
    share = 100.0 * 1.472 / 1.6
    assert share != 92.0

    found = verdict.judge(limit=replace(TEN, bound=bound, value=92.0), value=share)

    assert (found.outcome, found.margin) == (outcome, 0.0)


def test_a_gap_gives_no_verdict_and_says_so():
    gap = replace(TEN, value=None)

    found = verdict.judge(limit=gap, value=3.0)

    assert found.outcome is Outcome.NOT_ASSESSED
    assert found.margin is None
    assert "no number" in str(found.reason)
    assert limits.is_passed(limit=gap, value=3.0) is None


@pytest.mark.parametrize("value", [nan, inf])
def test_a_value_that_is_no_number_is_refused(value):
    with pytest.raises(OutsideValidity, match="breaks_even is"):
        verdict.judge(limit=TEN, value=value)


def test_reason_names_value_limit_unit_and_note():
    found = verdict.judge(limit=TEN, value=12.0, also=(HALVED,))

    assert str(found.reason) == (
        "broken wires in a lay, spread evenly 12 wires, beyond the limit (at most 10 "
        "wires); the limit 20 is taken 0.5 times for rouge or wear"
    )


def test_a_ratio_is_written_without_a_unit():
    ratio = replace(
        TEN, key="own", words="safety factor", unit="-", bound=Bound.AT_LEAST
    )

    found = verdict.judge(limit=ratio, value=21.3)

    assert str(found.reason) == "safety factor 21.3, inside the limit (at least 10)"


@pytest.mark.parametrize(
    ("low", "high", "outcome", "value"),
    [
        (11.0, 20.0, Outcome.MET, 11.0),
        (2.0, 9.0, Outcome.NOT_MET, 9.0),
        (9.0, 11.0, Outcome.NOT_ASSESSED, None),
    ],
)
def test_between_bounds_the_sure_end_is_kept(low, high, outcome, value):
    found = verdict.judge_between(
        limit=TEN, low=low, high=high, missing=Term.BREAKS_IN_LAY
    )

    assert found.outcome is outcome
    assert found.value == value


def test_between_bounds_a_gap_stays_a_gap():
    found = verdict.judge_between(
        limit=replace(TEN, value=None), low=1.0, high=2.0, missing=Term.BREAKS_IN_LAY
    )

    assert found.outcome is Outcome.NOT_ASSESSED


def test_name_of_a_limit_says_for_which_rope_it_holds():
    row = replace(TEN, strands=8, nominal_mm=12.7)

    assert row.name == "breaks_even/8@12.7"
    assert TEN.name == "breaks_even"


@pytest.mark.parametrize(
    ("low", "typical", "high", "outcome", "answer"),
    [
        (1.0, 5.0, 9.0, Outcome.NOT_MET, Answer.WITHIN),
        (11.0, 12.0, 13.0, Outcome.MET, Answer.BEYOND),
        (5.0, 12.0, 13.0, Outcome.MET, Answer.OPEN),
        (5.0, 9.0, 13.0, Outcome.NOT_ASSESSED, Answer.OPEN),
    ],
)
def test_range_opens_a_verdict_and_never_weakens_the_usual_value(
    low, typical, high, outcome, answer
):
    found = verdict.judge_over(
        limit=TEN, low=low, typical=typical, high=high, missing=Term.READING
    )

    assert (found.outcome, found.answer) == (outcome, answer)
    assert (found.open_between is not None) == (answer is Answer.OPEN)


def test_worst_of_several_places_goes_before_open_and_open_before_in_order():
    past = verdict.judge(limit=TEN, value=11.0)
    further = verdict.judge(limit=TEN, value=15.0)
    inside = verdict.judge(limit=TEN, value=2.0)
    unread = verdict.not_assessed(limit=TEN, value=None, reason=because(Code.NO_NUMBER))

    assert verdict.worst_of(verdicts=(inside, unread)) == (unread,)
    assert verdict.worst_of(verdicts=(unread, past, inside)) == (past,)
    assert verdict.worst_of(verdicts=(past, further)) == (further,)
    other = verdict.judge(limit=replace(TEN, key="breaks_valley"), value=2.0)
    assert verdict.worst_of(verdicts=(past, other)) == (past, other)
