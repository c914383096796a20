"""NPTEL, metal casting, lecture 4, table 2: pattern draft."""

from math import degrees

import pytest

from inspections.engineering import rim
from inspections.engineering.rim import Pattern
from tests.published.printed import Printed

# Height of draw in inches, outside and inside draft in degrees.
WOOD = [(1, 3, 3), (2, 1.5, 2.5), (4, 1, 1.5), (8, 0.75, 1), (32, 0.5, 1)]
METAL = [(1, 1.5, 3), (2, 1, 2), (4, 0.75, 1), (8, 0.5, 1), (32, 0.5, 0.75)]
PRINTED = Printed(
    source="NPTEL, metal casting, lecture 4, table 2",
    transcribed={"draft [°]": [each for _, *row in WOOD + METAL for each in row]},
)


@pytest.mark.parametrize(
    ("pattern", "draw_in", "outside", "inside"),
    [(Pattern.WOOD, *row) for row in WOOD] + [(Pattern.METAL, *row) for row in METAL],
)
def test_matches_draft(pattern, draw_in, outside, inside):
    draw_mm = draw_in * 25.4 * 0.999

    found = [
        degrees(rim.usual_draft_rad(draw_mm=draw_mm, pattern=pattern, inside=side))
        for side in (False, True)
    ]

    assert found == pytest.approx([outside, inside])
