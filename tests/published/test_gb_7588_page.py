"""GB 7588, ropes, as a page quotes it.

Three or more ropes 12, two ropes 16, nominal diameter 8 mm, D/d 40. The figures are
those of EN 81.
"""

import pytest

from inspections.engineering import criteria, rope
from inspections.engineering.source import Certainty
from tests.published.printed import Printed

LIMITS = [
    ("safety_factor_three_ropes", 12),
    ("safety_factor_two_ropes", 16),
    ("rope_diameter_least", 8),
    ("diameter_ratio_least", 40),
]
PRINTED = Printed(
    source='GB 7588, as the page "Dianti gangsisheng anquan xishu" quotes it',
    status=Certainty.SECOND_HAND,
    transcribed={"limit": [value for _, value in LIMITS]},
)


@pytest.mark.parametrize("code", ["TSG_T7001", "EN_81_20"])
@pytest.mark.parametrize(("key", "value"), LIMITS)
def test_matches_machine(code, key, value):
    found = criteria.lookup(criteria_set=criteria.find(code=code), key=key)

    assert found.value == value


@pytest.mark.parametrize(("ropes", "floor"), [(2, 16.0), (3, 12.0), (6, 12.0)])
def test_matches_floors(ropes, floor):
    assert rope.floor_en(ropes=ropes, rope_diameter_mm=8.0) == floor
