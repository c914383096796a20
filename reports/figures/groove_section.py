"""The groove across the rim, as new and as worn, with the rope in it, to scale."""

from collections.abc import Sequence
from math import cos, pi, sin

from reportlab.graphics import shapes
from reportlab.lib.colors import Color

from reports import content
from reports.figures import hatching, legend, lettering, marks, palette, scaling

_LABEL_ROOM = 98.0
_FOOT = 14.0
_STRANDS = 8


def groove_section(
    *,
    section: content.GrooveSection,
    wording: content.Wording,
    width: float = 260.0,
    height: float = 230.0,
) -> shapes.Drawing:
    """Return the section within width and height, in points.

    The drawing is no taller than the largest round scale that fits needs.
    """
    entries = _legend(section, wording)
    foot = _FOOT + legend.height(entries, width)
    place = _placement(section, (width - _LABEL_ROOM, height - foot - 2), foot)
    drawing = shapes.Drawing(width, place.point((0.0, _highest(section)))[1] + 2)
    _metal(drawing, section, place)
    _rope(drawing, section, place)
    _edges(drawing, section, place)
    for arc in section.contact_arcs:
        contact = marks.path(place.points(arc), colour=palette.ACCENT, weight=2.4)
        drawing.add(contact)
    _dimensions(drawing, section, place, width)
    drawing.add(
        scaling.scale_bar(
            bar=section.scale_bar,
            placement=place,
            wording=wording,
            left=0.5,
            bottom=foot - 10,
        )
    )
    drawing.add(legend.draw(entries, left=0, bottom=0, width=width))
    return drawing


def _placement(
    section: content.GrooveSection, room: tuple[float, float], foot: float
) -> scaling.Placement:
    lowest = min(y for _, y in (*section.new_outline, *(section.worn_outline or ())))
    return scaling.fitting(
        left_mm=section.new_outline[0][0],
        right_mm=section.new_outline[-1][0],
        low_mm=min(lowest, section.metal_floor_mm),
        high_mm=_highest(section),
        corner=(0.0, foot),
        room=room,
    )


def _highest(section: content.GrooveSection) -> float:
    heights = [0.0]
    if section.rope_centre is not None and section.rope_diameter_mm is not None:
        heights.append(section.rope_centre[1] + section.rope_diameter_mm / 2)
    for dimension in section.dimensions:
        heights += [dimension.start[1], dimension.end[1]]
    return max(heights) + 0.5


def _metal(
    drawing: shapes.Drawing, section: content.GrooveSection, place: scaling.Placement
) -> None:
    new = place.points(section.new_outline)
    worn = place.points(section.worn_outline) if section.worn_outline else new
    floor = place.point((0.0, section.metal_floor_mm))[1]
    body = [*worn, (worn[-1][0], floor), (worn[0][0], floor)]
    drawing.add(marks.area(body, fill=palette.METAL))
    drawing.add(hatching.hatch(body))


def _edges(
    drawing: shapes.Drawing, section: content.GrooveSection, place: scaling.Placement
) -> None:
    """Draw the outlines over the rope, which now lies where metal was."""
    new = place.points(section.new_outline)
    if section.worn_outline:
        dashed = marks.path(new, colour=palette.LOST_EDGE, weight=0.8, dash=(3, 2))
        drawing.add(dashed)
    worn = place.points(section.worn_outline) if section.worn_outline else new
    drawing.add(marks.path(worn, weight=1.3))


def _rope(
    drawing: shapes.Drawing, section: content.GrooveSection, place: scaling.Placement
) -> None:
    if section.rope_centre is None or section.rope_diameter_mm is None:
        return
    x, y = place.point(section.rope_centre)
    radius = section.rope_diameter_mm / 2 * place.points_per_mm
    disc = _circle(x, y, radius, weight=0.0, colour=palette.INK)
    disc.fillColor, disc.strokeColor = palette.ROPE, None
    drawing.add(disc)
    if section.worn_outline:
        new, worn = (
            place.points(outline)
            for outline in (section.new_outline, section.worn_outline)
        )
        drawing.add(marks.area([*new, *reversed(worn)], fill=palette.LOST))
    drawing.add(_circle(x, y, radius, weight=0.9, colour=palette.INK))
    # Strands are a hint that this is a rope; only the outer circle is to scale.
    share = sin(pi / _STRANDS) / (1 + sin(pi / _STRANDS))
    for strand in range(_STRANDS):
        angle = 2 * pi * (strand + 0.5) / _STRANDS
        reach = radius * (1 - share)
        at = (x + reach * sin(angle), y + reach * cos(angle))
        drawing.add(_circle(*at, radius * share, weight=0.3, colour=palette.HATCH))
    core = radius * (1 - 2 * share)
    drawing.add(_circle(x, y, core, weight=0.3, colour=palette.HATCH))
    label = section.rope_label
    if not label:
        return
    # On a ground of its own: it is wider than the core of a small rope.
    wide = min(lettering.width(label, size=marks.SMALL), 2 * radius - 6) + 2
    ground = marks.box(x - wide / 2, y - 4, wide, marks.SMALL + 1, fill=palette.PAPER)
    drawing.add(ground)
    drawing.add(
        marks.text(
            x, y - 2, label, size=marks.SMALL, anchor="middle", room=2 * radius - 6
        )
    )


def _circle(
    x: float, y: float, radius: float, *, weight: float, colour: Color
) -> shapes.Circle:
    return shapes.Circle(
        x, y, radius, fillColor=None, strokeColor=colour, strokeWidth=weight
    )


def _dimensions(
    drawing: shapes.Drawing,
    section: content.GrooveSection,
    place: scaling.Placement,
    width: float,
) -> None:
    """Draw the dimension lines; leaders carry their labels into a right column."""
    column = place.point(section.new_outline[-1])[0] + 12
    ends = [(place.point(d.start), place.point(d.end)) for d in section.dimensions]
    wanted = [(start[1] + end[1]) / 2 for start, end in ends]
    wrapped = [_wrapped(d.label, width - column - 3) for d in section.dimensions]
    sizes = [len(lines) * 8.4 + 3 for lines in wrapped]
    top = drawing.height
    heights = marks.spread(wanted, sizes, _FOOT, top)
    for (start, end), lines, y in zip(ends, wrapped, heights, strict=True):
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        drawing.add(marks.arrow_line(start, end))
        knee = (column - 8, middle[1])
        drawing.add(marks.line(middle, knee, colour=palette.SOFT_INK, weight=0.35))
        tip = (column - 2, y)
        drawing.add(marks.line(knee, tip, colour=palette.SOFT_INK, weight=0.35))
        first = y + (len(lines) - 1) * 4.2 - 2.4
        for index, words in enumerate(lines):
            drawing.add(marks.text(column, first - index * 8.4, words))


def _wrapped(label: str, room: float) -> list[str]:
    """Break a label into lines; a word wider than the room is shortened."""
    lines: list[str] = []
    for word in label.split(" "):  # a no-break space keeps number and unit together
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and lettering.width(longer, size=marks.TEXT) <= room:
            lines[-1] = longer
        else:
            lines.append(lettering.shortened(word, size=marks.TEXT, room=room))
    return lines


def _legend(
    section: content.GrooveSection, wording: content.Wording
) -> Sequence[legend.Entry]:
    worn = section.worn_outline is not None
    entries = [
        legend.Entry(sample=legend.stroke(weight=1.3), words=wording.legend_worn)
        if worn
        else legend.Entry(sample=legend.stroke(weight=1.3), words=wording.legend_new)
    ]
    if worn:
        dashed = legend.stroke(colour=palette.LOST_EDGE, weight=0.7, dash=(3, 2))
        entries.append(legend.Entry(sample=dashed, words=wording.legend_new))
        lost = legend.patch(fill=palette.LOST)
        entries.append(legend.Entry(sample=lost, words=wording.legend_lost))
    if section.contact_arcs:
        thick = legend.stroke(colour=palette.ACCENT, weight=2.4)
        entries.append(legend.Entry(sample=thick, words=wording.legend_contact))
    return entries
