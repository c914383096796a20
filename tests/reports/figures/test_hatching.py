"""Hatching and clipping against a geometry library (shapely)."""

from math import isclose

import pytest
from shapely.geometry import LineString, Polygon, box

from reports.figures import hatching

STAR = [(0.0, 0.0), (40.0, 5.0), (20.0, 15.0), (42.0, 40.0), (18.0, 25.0), (2.0, 38.0)]


def strokes(path):
    numbers = path.points
    return [
        LineString([numbers[i : i + 2], numbers[i + 2 : i + 4]])
        for i in range(0, len(numbers), 4)
    ]


def test_every_stroke_lies_inside_and_none_is_missing():
    area = Polygon(STAR).buffer(0.01)

    drawn = strokes(hatching.hatch(STAR, spacing=3.0))

    assert all(area.contains(stroke) for stroke in drawn)
    # Strokes at 45 degrees, 3 apart along y - x, are 3 / sqrt(2) apart across.
    length = sum(stroke.length for stroke in drawn)
    assert isclose(length * 3.0 / 2**0.5, Polygon(STAR).area, rel_tol=0.06)


@pytest.mark.parametrize(("floor", "ceiling"), [(-5.0, 50.0), (8.0, 30.0), (3.0, 4.0)])
def test_an_area_is_clipped_between_two_heights(floor, ceiling):
    clipped = hatching.within(STAR, floor=floor, ceiling=ceiling)

    expected = Polygon(STAR).intersection(box(-100, floor, 100, ceiling))
    assert Polygon(clipped).area == pytest.approx(expected.area, rel=1e-9)


def test_nothing_is_left_of_an_area_outside():
    assert hatching.within(STAR, floor=100.0, ceiling=120.0) == []


@pytest.mark.parametrize(("floor", "ceiling"), [(-5.0, 50.0), (8.0, 30.0), (3.0, 4.0)])
def test_a_line_is_clipped_between_two_heights(floor, ceiling):
    pieces = hatching.line_within(STAR, floor=floor, ceiling=ceiling)

    expected = LineString(STAR).intersection(box(-100, floor, 100, ceiling))
    length = sum(LineString(piece).length for piece in pieces)
    assert length == pytest.approx(expected.length, rel=1e-9)
