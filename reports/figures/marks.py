"""Strokes and letters the figures share. All lengths in points."""

from collections.abc import Sequence
from math import hypot

from reportlab.graphics import shapes
from reportlab.lib.colors import Color

from reports.figures import lettering, palette

Point = tuple[float, float]

TEXT = 8.0
SMALL = 8.0


def text(
    x: float,
    y: float,
    words: str,
    *,
    size: float = TEXT,
    face: str = lettering.REGULAR,
    anchor: str = "start",
    colour: Color = palette.INK,
    room: float | None = None,
) -> shapes.String:
    """Return one line of text standing on y. Raises UnprintableText.

    Where it is wider than ``room``, it ends in an ellipsis.
    """
    lettering.register()
    shown = lettering.printable(words, field="figure text").replace("\n", " ")
    if room is not None:
        shown = lettering.shortened(shown, size=size, room=room, face=face)
    return shapes.String(
        x,
        y,
        shown,
        fontName=face,
        fontSize=size,
        textAnchor=anchor,
        fillColor=colour,
    )


def centred(
    x: float,
    y: float,
    words: str,
    *,
    room: float,
    within: tuple[float, float],
    face: str = lettering.REGULAR,
) -> shapes.String:
    """Return small text centred on x, moved aside where it would leave the range."""
    drawn = text(x, y, words, size=SMALL, face=face, anchor="middle", room=room)
    half = lettering.width(drawn.text, size=SMALL, face=face) / 2
    drawn.x = min(max(x, within[0] + half), within[1] - half)
    return drawn


def line(
    start: Point,
    end: Point,
    *,
    colour: Color = palette.INK,
    weight: float = 0.6,
    dash: Sequence[float] | None = None,
) -> shapes.Line:
    """Return a straight line."""
    return shapes.Line(
        *start,
        *end,
        strokeColor=colour,
        strokeWidth=weight,
        strokeDashArray=list(dash) if dash else None,
    )


def path(
    points: Sequence[Point],
    *,
    colour: Color = palette.INK,
    weight: float = 0.8,
    dash: Sequence[float] | None = None,
) -> shapes.PolyLine:
    """Return an open line through points."""
    return shapes.PolyLine(
        [round(number, 3) for point in points for number in point],
        strokeColor=colour,
        strokeWidth=weight,
        strokeDashArray=list(dash) if dash else None,
        strokeLineJoin=1,
        strokeLineCap=1 if not dash else 0,
    )


def area(
    points: Sequence[Point],
    *,
    fill: Color,
    edge: Color | None = None,
    weight: float = 0.5,
) -> shapes.Polygon:
    """Return a filled area."""
    return shapes.Polygon(
        [round(number, 3) for point in points for number in point],
        fillColor=fill,
        strokeColor=edge,
        strokeWidth=weight if edge is not None else 0,
    )


def box(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    fill: Color | None = None,
    edge: Color | None = None,
    weight: float = 0.6,
    dash: Sequence[float] | None = None,
) -> shapes.Rect:
    """Return a rectangle."""
    return shapes.Rect(
        x,
        y,
        width,
        height,
        fillColor=fill,
        strokeColor=edge,
        strokeWidth=weight if edge is not None else 0,
        strokeDashArray=list(dash) if dash else None,
    )


def arrow_line(start: Point, end: Point, *, weight: float = 0.5) -> shapes.Group:
    """Return a dimension line with a slim arrow head at either end."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    group = shapes.Group(line(start, end, weight=weight))
    if length <= 0.0:
        return group
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    head = min(4.0, length / 2.5)
    for tip, sense in ((start, 1.0), (end, -1.0)):
        back = (tip[0] + sense * along[0] * head, tip[1] + sense * along[1] * head)
        across = (-along[1] * head * 0.28, along[0] * head * 0.28)
        wing = (back[0] + across[0], back[1] + across[1])
        other = (back[0] - across[0], back[1] - across[1])
        group.add(area((tip, wing, other), fill=palette.INK))
    return group


def spread(
    wanted: Sequence[float], sizes: Sequence[float], low: float, high: float
) -> list[float]:
    """Return centres near the wanted ones, apart by their sizes, within the range.

    The order of the wanted places is kept. If all together are larger than the
    range, they start at its low end and run over the high one.
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    placed = [0.0] * len(wanted)
    edge = low
    for index in order:
        placed[index] = max(wanted[index], edge + sizes[index] / 2)
        edge = placed[index] + sizes[index] / 2
    edge = high
    for index in reversed(order):
        placed[index] = min(placed[index], edge - sizes[index] / 2)
        edge = placed[index] - sizes[index] / 2
    edge = low
    for index in order:
        placed[index] = max(placed[index], edge + sizes[index] / 2)
        edge = placed[index] + sizes[index] / 2
    return placed
