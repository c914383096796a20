"""30 CFR 56.19024, retirement of mine hoist ropes."""

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import Observation
from inspections.engineering.verdict import Outcome
from tests.published.printed import Printed

PRINTED = Printed(
    source="30 CFR 56.19024",
    transcribed={
        "share of wires [%]": [5, 15],
        "valley breaks": [1],
        "loss of diameter [%]": [6],
        "wear of outer wires": [1 / 3],
    },
)

# 6x19: 114 wires, 19 in a strand; 5 % is 5.7 wires, 15 % of a strand 2.85.
_ROPE = {"nominal_diameter_mm": 25.0, "strands": 6, "wires_per_rope": 114}


def _outcomes(**seen):
    verdicts = discard.judge_breaks(
        observation=Observation(**_ROPE, **seen),
        criteria_set=criteria.find(code="CFR_30_56"),
    )
    return {each.criterion: each.outcome for each in verdicts}


@pytest.mark.parametrize(("total", "outcome"), [(5, Outcome.NOT_MET), (6, Outcome.MET)])
def test_five_percent_of_all_wires_in_a_lay(total, outcome):
    found = _outcomes(breaks_total=total, breaks_worst_strand=1)

    assert found["breaks_share_of_lay"] is outcome


@pytest.mark.parametrize(
    ("in_strand", "outcome"), [(2, Outcome.NOT_MET), (3, Outcome.MET)]
)
def test_fifteen_percent_of_a_strand(in_strand, outcome):
    found = _outcomes(breaks_total=5, breaks_worst_strand=in_strand)

    assert found["breaks_share_of_strand"] is outcome


@pytest.mark.parametrize(("valley", "outcome"), [(1, "not met"), (2, "met")])
def test_more_than_one_valley_break(valley, outcome):
    assert _outcomes(breaks_valley=valley)["breaks_valley"] == outcome


@pytest.mark.parametrize(
    ("diameter_mm", "outcome"), [(23.6, Outcome.NOT_MET), (23.4, Outcome.MET)]
)
def test_six_percent_below_the_baseline(diameter_mm, outcome):
    seen = Observation(
        **_ROPE, diameters_mm=(diameter_mm, diameter_mm), unworn_diameter_mm=25.0
    )

    (verdict,) = discard.judge_diameter(
        observation=seen, criteria_set=criteria.find(code="CFR_30_56")
    )

    assert verdict.outcome is outcome


@pytest.mark.parametrize(("wear", "outcome"), [(0.33, "not met"), (0.34, "met")])
def test_more_than_one_third_of_the_outer_wires(wear, outcome):
    verdict = discard.judge_outer_wires(
        observation=Observation(**_ROPE, outer_wire_wear_ratio=wear),
        criteria_set=criteria.find(code="CFR_30_56"),
    )

    assert verdict.outcome == outcome
