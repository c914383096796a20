"""Japanese industrial elevator structure standard, art. 40."""

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import Observation
from inspections.engineering.verdict import Outcome
from tests.published.printed import Printed

WIRES_PERCENT = 10
LIMITS = [
    ("diameter_reduction_nominal", 7),
    ("ropes_least", 3),
    ("rope_diameter_least", 10),
]
PRINTED = Printed(
    source="Japanese industrial elevator structure standard, art. 40",
    transcribed={"limit": [WIRES_PERCENT, *(value for _, value in LIMITS)]},
)
HOIST = criteria.find(code="JAPAN_HOIST_40")


@pytest.mark.parametrize(("total", "met"), [(15, False), (16, True)])
def test_ten_percent_of_the_wires_of_a_lay(total, met):
    # 8x20 wires: fewer than 16 may be broken.
    seen = Observation(
        nominal_diameter_mm=12.0, strands=8, wires_per_rope=160, breaks_total=total
    )

    (verdict,) = discard.judge_breaks(observation=seen, criteria_set=HOIST)

    assert (verdict.outcome is Outcome.MET) is met


@pytest.mark.parametrize(("key", "value"), LIMITS)
def test_matches_limits(key, value):
    assert criteria.lookup(criteria_set=HOIST, key=key).value == value
