"""The whole parts of e^(n·π) and e^(n·π/2): n half and n quarter turns at μ = 1."""

from math import floor, pi

import pytest

from tests.published.capstan import ratio
from tests.published.printed import Printed

HALF_TURNS = [
    (1, 23),
    (2, 535),
    (3, 12391),
    (4, 286751),
    (5, 6635623),
    (6, 153552935),
]
QUARTER_TURNS = [(1, 4), (3, 111), (5, 2575), (7, 59609)]
PRINTED = Printed(
    source="On-Line Encyclopedia of Integer Sequences, A062360 and A124507",
    computed={
        "whole part of e^(n·π)": [printed for _, printed in HALF_TURNS],
        "whole part of e^(n·π/2)": [printed for _, printed in QUARTER_TURNS],
    },
)


@pytest.mark.parametrize(("half_turns", "printed"), HALF_TURNS)
def test_whole_part_of_half_turns(half_turns, printed):
    assert floor(ratio(1.0, half_turns * pi)) == printed


@pytest.mark.parametrize(("quarter_turns", "printed"), QUARTER_TURNS)
def test_whole_part_of_quarter_turns(quarter_turns, printed):
    assert floor(ratio(1.0, quarter_turns * pi / 2)) == printed
