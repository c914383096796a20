"""What condemns a rope by TSG T7001 (from memory)."""

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import Distribution, Observation
from inspections.engineering.verdict import Outcome

CHINA = criteria.find(code="TSG_T7001")


def _met(**seen):
    verdicts = discard.judge_rope(
        observation=Observation(nominal_diameter_mm=13.0, **seen), criteria_set=CHINA
    )
    return {each.criterion for each in verdicts if each.outcome is Outcome.MET}


@pytest.mark.parametrize(("in_strand", "met"), [(4, False), (5, True)])
def test_scattered_breaks_in_one_strand(in_strand, met):
    found = _met(
        strands=8,
        breaks_total=20,
        breaks_worst_strand=in_strand,
        distribution=Distribution.EVEN,
    )

    assert ("breaks_in_one_strand_even" in found) is met


@pytest.mark.parametrize(
    ("strands", "total", "met"),
    [(6, 12, False), (6, 13, True), (8, 16, False), (8, 17, True)],
)
def test_concentrated_breaks_in_a_lay(strands, total, met):
    found = _met(
        strands=strands, breaks_total=total, distribution=Distribution.PREDOMINANT
    )

    assert (f"breaks_predominant/{strands}" in found) is met


@pytest.mark.parametrize(("diameter_mm", "met"), [(11.75, False), (11.65, True)])
def test_ninety_percent_of_nominal(diameter_mm, met):
    found = _met(diameters_mm=(diameter_mm, diameter_mm))

    assert ("diameter_reduction_nominal" in found) is met
