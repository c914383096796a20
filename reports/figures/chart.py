"""The frame of a chart: a time axis, a value axis, and where things stand."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from reportlab.graphics import shapes

from reports import content
from reports.figures import lettering, marks, palette

Point = tuple[float, float]

_MOST_LABEL_ROOM = 60.0
# Labels of a value axis stand at least so far apart.
_LINE = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """The inner area of a chart in points, and the axes that span it."""

    left: float
    bottom: float
    right: float
    top: float
    time_axis: content.ChartAxis
    value_axis: content.ChartAxis

    def x(self, position: float) -> float:
        """Return where a position on the time axis stands."""
        return along(self.time_axis, position, self.left, self.right)

    def y(self, value: float) -> float:
        """Return where a value stands."""
        return along(self.value_axis, value, self.bottom, self.top)

    def point(self, position: float, value: float) -> Point:
        """Return where a position and a value meet."""
        return self.x(position), self.y(value)


def along(axis: content.ChartAxis, position: float, start: float, end: float) -> float:
    """Return where a position of an axis stands between two ends."""
    return start + (position - axis.low) / (axis.high - axis.low) * (end - start)


def label_room(axis: content.ChartAxis) -> float:
    """Return the room the labels of a value axis take to its left."""
    widths = [lettering.width(t.label, size=marks.SMALL) for t in axis.ticks]
    return min(max(widths, default=0.0), _MOST_LABEL_ROOM) + 8.0


def axes(drawing: shapes.Drawing, plot: Plot) -> None:
    """Draw both axes with ticks, labels and faint lines across."""
    _value_axis(drawing, plot)
    _time_axis(drawing, plot)
    wide = plot.right - plot.left
    above = plot.top + 17
    value_label = marks.text(
        0, above, plot.value_axis.label, face=lettering.BOLD, room=wide * 0.7
    )
    time_label = marks.text(
        plot.right,
        above,
        plot.time_axis.label,
        size=marks.SMALL,
        anchor="end",
        colour=palette.SOFT_INK,
        room=wide * 0.25,
    )
    drawing.add(value_label)
    drawing.add(time_label)


def _value_axis(drawing: shapes.Drawing, plot: Plot) -> None:
    ticks = plot.value_axis.ticks
    step = max(1, ceil(len(ticks) * _LINE / (plot.top - plot.bottom)))
    for tick in ticks[::step]:
        y = plot.y(tick.position)
        across = ((plot.left, y), (plot.right, y))
        drawing.add(marks.line(*across, colour=palette.RULE, weight=0.3))
        words = marks.text(
            plot.left - 4,
            y - 2.2,
            tick.label,
            size=marks.SMALL,
            anchor="end",
            room=plot.left - 4,
        )
        drawing.add(words)


def _time_axis(drawing: shapes.Drawing, plot: Plot) -> None:
    drawing.add(marks.line((plot.left, plot.bottom), (plot.right, plot.bottom)))
    written = thinned(plot.time_axis.ticks, room=plot.right - plot.left)
    room = (plot.right - plot.left) / max(1, len(written)) - 2
    for tick in plot.time_axis.ticks:
        x = plot.x(tick.position)
        drawing.add(marks.line((x, plot.bottom), (x, plot.bottom - 3), weight=0.6))
        if tick not in written:
            continue
        words = marks.centred(
            x, plot.bottom - 10, tick.label, room=room, within=(0.0, drawing.width)
        )
        drawing.add(words)


def thinned(
    ticks: Sequence[content.AxisTick], *, room: float
) -> tuple[content.AxisTick, ...]:
    """Return every tick, or every second, third, ... whose labels have room."""
    widths = [lettering.width(tick.label, size=marks.SMALL) for tick in ticks]
    widest = max(widths, default=0.0) + 4.0
    step = max(1, ceil(len(ticks) * widest / room)) if room > 0 else 1
    return tuple(ticks[::step])


def spread_labels(
    drawing: shapes.Drawing,
    plot: Plot,
    ticks: tuple[content.AxisTick, ...],
    *,
    y: float,
    face: str = lettering.REGULAR,
) -> list[float]:
    """Write labels in one row near their positions, none over another.

    Returns the middle of each label, for the leaders that lead to them.
    """
    room = (plot.right - plot.left) / max(1, len(ticks)) - 6
    shown = [
        lettering.shortened(tick.label, size=marks.SMALL, room=room, face=face)
        for tick in ticks
    ]
    sizes = [lettering.width(w, size=marks.SMALL, face=face) + 6 for w in shown]
    wanted = [plot.x(tick.position) for tick in ticks]
    middles = marks.spread(wanted, sizes, plot.left, plot.right)
    for words, middle in zip(shown, middles, strict=True):
        drawing.add(
            marks.text(middle, y, words, size=marks.SMALL, anchor="middle", face=face)
        )
    return middles
