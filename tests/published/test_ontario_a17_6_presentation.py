"""A presentation of the TSSA in Ontario, 26 Feb 2016, on ASME A17.6-2010, 1.10.

That the rules exist was read there; their tables could not be read and are gaps.
"""

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import Observation
from inspections.engineering.source import Certainty, Source
from inspections.engineering.verdict import Outcome
from tests.published.printed import Printed

PRINTED = Printed(
    source="ASME A17.6-2010, 1.10, as a presentation of the TSSA, 26 Feb 2016, "
    "quotes it",
    status=Certainty.SECOND_HAND,
)

NEWER = criteria.find(code="ASME_A17_6")


@pytest.mark.parametrize(
    "key",
    ["breaks_even", "breaks_predominant", "diameter_least", "diameter_least_rouge"],
)
def test_tables_that_could_not_be_read_are_gaps_and_not_guesses(key):
    gap = next(each for each in criteria.gaps(criteria_set=NEWER) if each.name == key)

    assert "enter it from your own copy" in str(gap.reason)


@pytest.mark.parametrize(
    ("diameters_mm", "outcome"),
    [((11.8, 11.85), Outcome.MET), ((11.8, 12.0), Outcome.NOT_MET)],
)
def test_a_rope_is_replaced_if_both_measurements_are_below(diameters_mm, outcome):
    entered = criteria.override(
        criteria_set=NEWER,
        values={"diameter_least": 11.9},
        source=Source(document="a user's copy", certainty=Certainty.ENTERED),
    )

    verdicts = discard.judge_diameter(
        observation=Observation(nominal_diameter_mm=12.7, diameters_mm=diameters_mm),
        criteria_set=entered,
    )

    assert verdicts[0].outcome is outcome
