"""What condemns a rope by the informative annex of ISO 4344 (from memory)."""

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import Observation
from inspections.engineering.source import Certainty
from inspections.engineering.verdict import Outcome

EUROPE = criteria.find(code="EN_81_20")


@pytest.mark.parametrize(
    ("diameter_mm", "outcome"), [(12.23, Outcome.NOT_MET), (12.21, Outcome.MET)]
)
def test_six_percent_of_nominal(diameter_mm, outcome):
    seen = Observation(nominal_diameter_mm=13.0, diameters_mm=(diameter_mm, 13.0))

    (verdict,) = discard.judge_diameter(observation=seen, criteria_set=EUROPE)

    assert verdict.outcome is outcome
    assert verdict.source.certainty is Certainty.FROM_MEMORY


@pytest.mark.parametrize(("adjacent", "met"), [(4, False), (5, True)])
def test_five_adjacent_wires(adjacent, met):
    seen = Observation(nominal_diameter_mm=13.0, breaks_adjacent=adjacent)

    verdicts = discard.judge_breaks(observation=seen, criteria_set=EUROPE)

    found = next(each for each in verdicts if each.criterion == "breaks_adjacent")
    assert (found.outcome is Outcome.MET) is met
