"""The template: one millimetre of metal is one millimetre of paper."""

from dataclasses import replace

import pytest
from reportlab.graphics import shapes

from reports import content
from reports.figures import template as figure
from reports.figures.scaling import POINTS_PER_MM

TEMPLATE = content.Template(
    title="Template",
    outline=((-11.0, 0.0), (-5.0, 0.0), (-3.0, -14.0), (3.0, -14.0), (5.0, 0.0),
             (11.0, 0.0)),
    pitch_mm=22.0,
    count=3,
    floor_mm=-20.0,
    dimensions=(content.Dimension(start=(0.0, 6.0), end=(22.0, 6.0), label="pitch"),),
    ruler=content.ScaleBar(length_mm=100.0, label="100 mm"),
    ruler_upright=content.ScaleBar(length_mm=20.0, label="20 mm"),
    caption="caption",
    description="description",
)  # fmt: skip


def inside(group, kind):
    for one in group.contents:
        if isinstance(one, kind):
            yield one
        if isinstance(one, shapes.Group):
            yield from inside(one, kind)


def test_pitch_depth_and_both_bars_are_true_on_the_paper():
    drawn = figure.template(template=TEMPLATE)

    [edge] = inside(drawn, shapes.PolyLine)
    xs, ys = edge.points[::2], edge.points[1::2]
    assert max(xs) - min(xs) == pytest.approx(66.0 * POINTS_PER_MM, abs=0.01)
    assert max(ys) - min(ys) == pytest.approx(14.0 * POINTS_PER_MM, abs=0.01)
    lengths = {
        round(abs(line.x2 - line.x1) + abs(line.y2 - line.y1), 2)
        for line in inside(drawn, shapes.Line)
    }
    assert {round(mm * POINTS_PER_MM, 2) for mm in (100.0, 20.0, 22.0)} <= lengths


def test_the_widest_template_with_its_words_is_narrower_than_either_paper():
    wide = replace(TEMPLATE, pitch_mm=36.6)

    assert figure.template(template=wide).width <= 495.0


def test_nothing_is_drawn_of_no_groove():
    with pytest.raises(ValueError, match="0 grooves"):
        replace(TEMPLATE, count=0)
