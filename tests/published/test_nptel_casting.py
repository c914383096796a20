"""NPTEL, metal casting, lecture 4, table 2: pattern draft. Status: confirmed."""

from math import degrees, radians

import pytest

from inspections.engineering import rim
from inspections.engineering.rim import Pattern

# Height of draw in inches, outside and inside draft in degrees.
WOOD = [(1, 3, 3), (2, 1.5, 2.5), (4, 1, 1.5), (8, 0.75, 1), (32, 0.5, 1)]
METAL = [(1, 1.5, 3), (2, 1, 2), (4, 0.75, 1), (8, 0.5, 1), (32, 0.5, 0.75)]


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


@pytest.mark.parametrize(
    ("draft_deg", "change_mm"), [(1, 2.09), (1.5, 3.14), (2, 4.19), (3, 6.29)]
)
def test_change_of_metal_across_a_rim_of_120_mm(draft_deg, change_mm):
    # Derived.
    found = rim.thickness_change_mm(width_mm=120.0, draft_rad=radians(draft_deg))

    assert found == pytest.approx(change_mm, abs=0.005)
