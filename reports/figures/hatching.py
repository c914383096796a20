"""Section hatching: slanted strokes inside a closed outline, and clipping."""

from collections.abc import Sequence
from itertools import pairwise

from reportlab.graphics import shapes
from reportlab.lib.colors import Color

from reports.figures import palette

Point = tuple[float, float]


def hatch(
    outline: Sequence[Point],
    *,
    spacing: float = 4.5,
    colour: Color = palette.HATCH,
    weight: float = 0.35,
) -> shapes.Path:
    """Return one path of 45° strokes that fill a closed outline, in points."""
    strokes = shapes.Path(fillColor=None, strokeColor=colour, strokeWidth=weight)
    # Along a stroke y - x is constant; x + y runs along it.
    turned = [(y - x, x + y) for x, y in outline]
    level = min(across for across, _ in turned) + spacing / 2
    top = max(across for across, _ in turned)
    while level < top:
        crossings = _crossings(turned, level)
        for start, end in zip(crossings[::2], crossings[1::2], strict=False):
            if end - start > 0.5:
                strokes.moveTo(*_unturned(level, start))
                strokes.lineTo(*_unturned(level, end))
        level += spacing
    return strokes


def _unturned(across: float, along: float) -> Point:
    return round((along - across) / 2, 3), round((along + across) / 2, 3)


def _crossings(turned: Sequence[Point], level: float) -> list[float]:
    found = []
    for (across, along), (next_across, next_along) in pairwise((*turned, turned[0])):
        if (across < level) != (next_across < level):
            part = (level - across) / (next_across - across)
            found.append(along + part * (next_along - along))
    return sorted(found)


def below(outline: Sequence[Point], ceiling: float) -> list[Point]:
    """Return the part of a closed outline that lies at or below a height."""
    kept: list[Point] = []
    for start, end in pairwise((*outline, outline[0])):
        if start[1] <= ceiling:
            kept.append(start)
        if (start[1] <= ceiling) != (end[1] <= ceiling):
            part = (ceiling - start[1]) / (end[1] - start[1])
            kept.append((start[0] + part * (end[0] - start[0]), ceiling))
    return kept


def within(outline: Sequence[Point], *, floor: float, ceiling: float) -> list[Point]:
    """Return the part of a closed outline that lies between two heights."""
    lower = below(outline, ceiling)
    if not lower:
        return []
    turned = below([(x, -y) for x, y in lower], -floor)
    return [(x, -y) for x, y in turned]


def line_within(
    points: Sequence[Point], *, floor: float, ceiling: float
) -> list[list[Point]]:
    """Return the pieces of an open line that lie between two heights."""
    pieces: list[list[Point]] = []
    for start, end in pairwise(points):
        piece = _segment_within(start, end, floor, ceiling)
        if piece is None:
            continue
        if pieces and pieces[-1][-1] == piece[0]:
            pieces[-1].append(piece[1])
        else:
            pieces.append(list(piece))
    return pieces


def _segment_within(
    start: Point, end: Point, floor: float, ceiling: float
) -> tuple[Point, Point] | None:
    low, high = 0.0, 1.0
    rise = end[1] - start[1]
    for bound, inside_above in ((floor, True), (ceiling, False)):
        outside = (start[1] < bound) if inside_above else (start[1] > bound)
        leaves = (end[1] < bound) if inside_above else (end[1] > bound)
        if outside and leaves:
            return None
        if outside:
            low = max(low, (bound - start[1]) / rise)
        if leaves:
            high = min(high, (bound - start[1]) / rise)
    if low > high:
        return None

    def at(part: float) -> Point:
        return start[0] + part * (end[0] - start[0]), start[1] + part * rise

    return at(low) if low > 0 else start, at(high) if high < 1 else end
