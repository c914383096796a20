"""Power-law processes: the exponent that broken wires are counted with.

Valve seats of 41 engines with 48 replacements. The exponent that the book estimates
from exact days is from memory, and so is the data: see fixtures/published/README.md.
"""

import numpy as np
import pytest

from inspections.engineering.source import Certainty
from inspections.projection import counts
from tests.published import series_of
from tests.published.printed import Printed

EXPONENT = 1.3996
PRINTED = Printed(
    source="Nelson & Doganaksoy (1989); Meeker & Escobar (1998), table C.8",
    status=Certainty.FROM_MEMORY,
    data="48 replacements on 41 engines",
)


@pytest.fixture(scope="module")
def valve_seats():
    engine, days, replaced = series_of.columns("valve_seats.csv")
    return engine, days, replaced == 1


def test_exponent_from_thirty_day_inspections_is_near_that_of_exact_days(valve_seats):
    """The conditional likelihood knows neither engine nor rate, only which of its
    inspection intervals each replacement fell into."""
    engine, days, replaced = valve_seats
    engines, rope = np.unique(engine, return_inverse=True)
    ends = np.array([days[(engine == e) & ~replaced][0] for e in engines])
    steps = [np.unique(np.append(np.arange(30.0, end, 30.0), end)) for end in ends]
    index = np.repeat(np.arange(engines.size), [s.size for s in steps])
    end = np.concatenate(steps)
    begin = np.concatenate([np.append(0.0, s[:-1]) for s in steps])
    increment = np.zeros(end.size)
    for number, day in zip(rope[replaced], days[replaced], strict=True):
        increment[(index == number) & (begin < day) & (day <= end)] += 1

    evidence = counts.conditional_log_likelihood(
        increment=increment, begin=begin, end=end, rope=index
    )

    assert increment.sum() == 48
    assert counts.EXPONENTS[np.argmax(evidence)] == pytest.approx(EXPONENT, abs=0.15)
