"""Examination question: a rope round two bollards, 300° on each, at 0.2, from 50 N.

A rope that passes two arcs, as in double wrap.
"""

from math import pi

from inspections.engineering.source import Certainty
from tests.published.capstan import ratio
from tests.published.printed import Printed

HELD_N = 406
PRINTED = Printed(
    source="A question and its answer, thestudentroom.co.uk/showthread.php?t=155631",
    status=Certainty.SECOND_HAND,
    computed={"force [N]": [HELD_N]},
)


def test_two_bollards_multiply_like_two_passes_over_a_sheave():
    assert round(50.0 * ratio(0.2, 5 * pi / 3, 5 * pi / 3)) == HELD_N
