"""California: the least rope of a passenger lift is 3/8 in."""

import pytest

from inspections.engineering import criteria
from tests.published.printed import Printed

LEAST_IN = 3 / 8
PRINTED = Printed(
    source="Cal. Code Regs. title 8, 3042", transcribed={"least rope [in]": [LEAST_IN]}
)


def test_least_rope_is_three_eighths_of_an_inch():
    american = criteria.find(code="ASME_A17_1")

    found = criteria.lookup(criteria_set=american, key="rope_diameter_least")

    # 3/8 in is 9.525 mm and is listed as 9.5 mm.
    assert found.value == pytest.approx(LEAST_IN * 25.4, abs=0.03)
