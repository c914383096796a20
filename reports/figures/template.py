"""Grooves at true size, with bars that a rule can check across and upright."""

from reportlab.graphics import shapes

from reports import content
from reports.figures import hatching, lettering, marks, palette
from reports.figures.scaling import POINTS_PER_MM, Placement

_EDGE = 1.0
_LABEL = 11.0
_TICK_MM = 10.0
_GAP = 14.0
# Room for the words of a measure beside the metal.
_BESIDE = 118.0


def template(*, template: content.Template) -> shapes.Drawing:
    """Return the grooves and the bars at 1 : 1; one millimetre is one millimetre.

    It is as large as it is: its width follows from the metal, never from the page.
    """
    height_mm = _top(template) - template.floor_mm
    left = _EDGE + _upright_room(template)
    bottom = 2 * _LABEL + _GAP
    wide = max(
        template.count * template.pitch_mm * POINTS_PER_MM + _BESIDE,
        template.ruler.length_mm * POINTS_PER_MM,
    )
    tall = max(height_mm, template.ruler_upright.length_mm) * POINTS_PER_MM
    drawing = shapes.Drawing(left + wide + _EDGE, bottom + tall + _LABEL + 2)
    place = Placement(
        x=left + template.pitch_mm * POINTS_PER_MM / 2,
        y=bottom - template.floor_mm * POINTS_PER_MM,
        ratio=1.0,
        ratio_words="1 : 1",
    )
    _metal(drawing, template, place)
    for dimension in template.dimensions:
        _dimension(drawing, template, dimension, place)
    _across(drawing, template.ruler, (left, _LABEL))
    _upright(drawing, template.ruler_upright, (_EDGE, bottom))
    return drawing


def _top(template: content.Template) -> float:
    heights = [y for _, y in template.outline]
    heights += [y for d in template.dimensions for y in (d.start[1], d.end[1])]
    return max(heights)


def _upright_room(template: content.Template) -> float:
    label = lettering.width(template.ruler_upright.label, size=marks.SMALL)
    return 12.0 + label + _GAP


def _metal(
    drawing: shapes.Drawing, template: content.Template, place: Placement
) -> None:
    line = [
        (x + index * template.pitch_mm, y)
        for index in range(template.count)
        for x, y in template.outline
    ]
    edge = place.points(line)
    floor = place.point((0.0, template.floor_mm))[1]
    body = [*edge, (edge[-1][0], floor), (edge[0][0], floor)]
    drawing.add(marks.area(body, fill=palette.METAL))
    drawing.add(hatching.hatch(body))
    drawing.add(marks.path(edge, weight=0.7))
    for index in range(template.count):
        x = place.point((index * template.pitch_mm, 0.0))[0]
        centre = marks.line(
            (x, floor), (x, edge[0][1] + 6), weight=0.35, dash=(6, 2, 1, 2)
        )
        drawing.add(centre)


def _dimension(
    drawing: shapes.Drawing,
    template: content.Template,
    dimension: content.Dimension,
    place: Placement,
) -> None:
    """Draw a distance; a leader carries its words beside the metal."""
    start, end = place.point(dimension.start), place.point(dimension.end)
    beside = place.point((template.pitch_mm * (template.count - 0.5), 0.0))[0] + 8
    drawing.add(marks.arrow_line(start, end))
    leader = marks.line(end, (beside - 3, end[1]), colour=palette.SOFT_INK, weight=0.35)
    drawing.add(leader)
    drawing.add(
        marks.text(beside, end[1] - 2.6, dimension.label, size=marks.SMALL, room=110)
    )


def _across(
    drawing: shapes.Drawing, bar: content.ScaleBar, at: tuple[float, float]
) -> None:
    x, y = at
    end = x + bar.length_mm * POINTS_PER_MM
    drawing.add(marks.line((x, y), (end, y), weight=0.7))
    for along in _ticks(bar):
        up = 6.0 if along in (0.0, bar.length_mm) else 3.0
        at_x = x + along * POINTS_PER_MM
        drawing.add(marks.line((at_x, y), (at_x, y + up), weight=0.4))
    drawing.add(
        marks.text(x, y - 9.5, f"{bar.label}  ·  1 : 1", size=marks.SMALL, room=220)
    )


def _upright(
    drawing: shapes.Drawing, bar: content.ScaleBar, at: tuple[float, float]
) -> None:
    x, y = at
    end = y + bar.length_mm * POINTS_PER_MM
    drawing.add(marks.line((x, y), (x, end), weight=0.7))
    for along in _ticks(bar):
        wide = 6.0 if along in (0.0, bar.length_mm) else 3.0
        at_y = y + along * POINTS_PER_MM
        drawing.add(marks.line((x, at_y), (x + wide, at_y), weight=0.4))
    drawing.add(marks.text(x + 8, (y + end) / 2 - 3, bar.label, size=marks.SMALL))


def _ticks(bar: content.ScaleBar) -> list[float]:
    """Return places along a bar: its ends, and round ones between."""
    step = _TICK_MM if bar.length_mm % _TICK_MM < 1e-9 else 25.4 / 4
    count = round(bar.length_mm / step)
    return [*(index * step for index in range(count)), bar.length_mm]
