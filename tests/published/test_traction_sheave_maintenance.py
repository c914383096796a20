"""A course on the maintenance of traction sheaves.

Highest and lowest rope tension within 10 % of the lowest.
"""

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.verdict import Outcome
from tests.published.printed import Printed

SPREAD_PERCENT = 10
PRINTED = Printed(
    source='"Traction Sheave Maintenance", a course in Elevator World',
    transcribed={"spread of tensions [%]": [SPREAD_PERCENT]},
)


@pytest.mark.parametrize(
    ("highest_n", "outcome"), [(4399.0, Outcome.NOT_MET), (4401.0, Outcome.MET)]
)
def test_spread_over_ten_percent_of_the_lowest(highest_n, outcome):
    spread, _ = discard.judge_tension_spread(
        tensions_n=(4000.0, 4100.0, highest_n),
        ropes=3,
        criteria_set=criteria.find(code="EN_81_20"),
    )

    assert spread.outcome is outcome
