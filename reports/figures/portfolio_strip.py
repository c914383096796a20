"""All machines on one time axis: grade, and when the first limit may come."""

from collections.abc import Sequence
from itertools import pairwise

from reportlab.graphics import shapes

from reports import content
from reports.figures import chart, grade_mark, hatching, lettering, marks, palette

ROW = 16.0
_HEAD = 14.0
_FOOT = 16.0
_MOST_NAME_ROOM = 190.0
# Less room than this holds no word.
_LEAST_NOTE = 14.0


def height(rows: int) -> float:
    """Return the height of a strip with a number of machines, in points."""
    return _HEAD + ROW * rows + _FOOT


def floor_of(index: int, *, rows: int) -> float:
    """Return the lower edge of a machine's row in a strip of rows, in points."""
    return height(rows) - _HEAD - (index + 1) * ROW


def rows_within(room: float) -> int:
    """Return how many machines a strip of a height holds."""
    return max(0, int((room - _HEAD - _FOOT) / ROW))


def portfolio_strip(
    *,
    strip: content.PortfolioStrip,
    wording: content.Wording,
    width: float = 490.0,
) -> shapes.Drawing:
    """Return the strip; the height follows from the number of machines."""
    drawing = shapes.Drawing(width, height(len(strip.rows)))
    names = _name_room(strip)
    left = names + _marks_room(strip, wording) + 12
    right = width - 10
    _time_axis(drawing, strip, (left, right))
    for index, row in enumerate(strip.rows):
        y = floor_of(index, rows=len(strip.rows))
        _row(drawing, strip, row, wording, (left, right), y)
    return drawing


def _name_room(strip: content.PortfolioStrip) -> float:
    """Return the room that the longest name needs, within what the axis leaves."""
    widths = (lettering.width(row.label, size=marks.TEXT) for row in strip.rows)
    return min(max(widths, default=0.0) + 8.0, _MOST_NAME_ROOM)


def _marks_room(strip: content.PortfolioStrip, wording: content.Wording) -> float:
    return max(
        (
            grade_mark.mark_width(words=wording.of_grade(row.grade))
            for row in strip.rows
        ),
        default=0.0,
    )


def _time_axis(
    drawing: shapes.Drawing, strip: content.PortfolioStrip, ends: tuple[float, float]
) -> None:
    top = drawing.height - _HEAD
    within = (0.0, drawing.width)
    written = chart.thinned(strip.time_axis.ticks, room=ends[1] - ends[0])
    room = (ends[1] - ends[0]) / max(1, len(written)) - 2
    for tick in strip.time_axis.ticks:
        x = chart.along(strip.time_axis, tick.position, *ends)
        drawing.add(marks.line((x, _FOOT - 3), (x, top), colour=palette.RULE))
        if tick not in written:
            continue
        label = marks.centred(x, _FOOT - 11, tick.label, room=room, within=within)
        drawing.add(label)
    x = chart.along(strip.time_axis, strip.today.position, *ends)
    drawing.add(marks.line((x, _FOOT), (x, top + 2), weight=0.8))
    drawing.add(marks.centred(x, top + 4, strip.today.label, room=120, within=within))


def _row(
    drawing: shapes.Drawing,
    strip: content.PortfolioStrip,
    row: content.StripRow,
    wording: content.Wording,
    ends: tuple[float, float],
    y: float,
) -> None:
    rule = ((0, y), (drawing.width, y))
    drawing.add(marks.line(*rule, colour=palette.RULE, weight=0.3))
    names = _name_room(strip)
    drawing.add(marks.text(0, y + 5, row.label, room=names - 6))
    drawing.add(
        grade_mark.grade_mark(grade=row.grade, wording=wording, x=names, y=y + 2)
    )
    now = chart.along(strip.time_axis, strip.today.position, *ends)
    left = names + grade_mark.mark_width(words=wording.of_grade(row.grade)) + 6
    drawn: list[tuple[float, float]] = []
    if row.low is not None and row.high is not None:
        drawn.append(_span(drawing, strip, row, ends, y))
    said = row.note
    if row.beyond:
        drawing.add(marks.box(now - 3.5, y + 4.5, 7, 7, fill=palette.INK))
        drawn.append((now - 3.5, now + 3.5))
        said = wording.strip_beyond.format(beyond=row.beyond)
        if row.low is not None:
            both = wording.strip_both.format(beyond=said, bar=row.note)
            if not _fits(both, _gaps(drawn, left, drawing.width)):
                # The bar keeps its own name; what is passed stands after its square.
                half = max(0.0, (drawn[0][0] - now) / 2 - 10)
                bar = lettering.shortened(row.note, size=marks.SMALL, room=half)
                _note(drawing, bar, [(drawn[0][0], drawing.width)], now, y)
                named = lettering.width(bar, size=marks.SMALL) + 10
                drawn[0] = (drawn[0][0] - named, drawing.width)
            else:
                said = both
    _note(drawing, said, drawn or [(ends[0], ends[0])], left, y)


def _span(
    drawing: shapes.Drawing,
    strip: content.PortfolioStrip,
    row: content.StripRow,
    ends: tuple[float, float],
    y: float,
) -> tuple[float, float]:
    """Draw the early-to-late bar and the middle; return its two ends."""
    low, high = (
        min(max(chart.along(strip.time_axis, at, *ends), ends[0]), ends[1])
        for at in (row.low or 0.0, row.high or 0.0)
    )
    high = max(high, low + 1.0)
    corners = ((low, y + 4), (high, y + 4), (high, y + 12), (low, y + 12))
    drawing.add(marks.area(corners, fill=palette.BAND, edge=palette.ACCENT))
    drawing.add(hatching.hatch(corners, spacing=6, colour=palette.ACCENT, weight=0.2))
    if row.median is not None:
        x = chart.along(strip.time_axis, row.median, *ends)
        if ends[0] <= x <= ends[1]:
            drawing.add(marks.line((x, y + 2.5), (x, y + 13.5), weight=1.8))
    return low, high


def _note(
    drawing: shapes.Drawing,
    note: str,
    drawn: Sequence[tuple[float, float]],
    left: float,
    y: float,
) -> None:
    """Write the note after what is drawn, else before or between, where it has room."""
    if not note:
        return
    wide = lettering.width(note, size=marks.SMALL)
    gaps = _gaps(drawn, left, drawing.width)
    start, end = next((g for g in gaps if _room(g) >= wide), max(gaps, key=_room))
    if end - start < _LEAST_NOTE:
        return
    shown = lettering.shortened(note, size=marks.SMALL, room=end - start)
    wide = lettering.width(shown, size=marks.SMALL)
    x = start if start >= min(high for _low, high in drawn) else end - wide
    drawing.add(marks.box(x - 1.5, y + 4, wide + 3, 8, fill=palette.PAPER))
    drawing.add(marks.text(x, y + 5.5, shown, size=marks.SMALL))


def _fits(note: str, gaps: Sequence[tuple[float, float]]) -> bool:
    wide = lettering.width(note, size=marks.SMALL)
    return any(_room(gap) >= wide for gap in gaps)


def _gaps(
    drawn: Sequence[tuple[float, float]], left: float, right: float
) -> list[tuple[float, float]]:
    """Return where a row is free: after all that is drawn, before it, between."""
    spans = sorted(drawn)
    between = [(one[1] + 5, other[0] - 5) for one, other in pairwise(spans)]
    after = (max(high for _low, high in spans) + 5, right)
    return [after, *between, (left, spans[0][0] - 5)]


def _room(gap: tuple[float, float]) -> float:
    return gap[1] - gap[0]
