"""The tensions of a rope set as bars, with their mean and the band allowed."""

from reportlab.graphics import shapes

from reports import content
from reports.figures import chart, hatching, legend, lettering, marks, palette

_ROW = 15.0
_HEAD = 24.0
_FOOT = 22.0


def tension_bars(
    *, tensions: content.TensionBars, wording: content.Wording, width: float = 340.0
) -> shapes.Drawing:
    """Return the bars; the height follows from the number of ropes."""
    entries = _legend(tensions, wording)
    foot = _FOOT + legend.height(entries, width)
    height = _HEAD + _ROW * len(tensions.bars) + foot
    drawing = shapes.Drawing(width, height)
    labels = [lettering.width(bar.label, size=marks.TEXT) for bar in tensions.bars]
    left = min(max(labels, default=0.0), width * 0.3) + 5
    right = width - 12
    top, bottom = height - _HEAD, foot
    _allowed(drawing, tensions, (left, right, bottom, top))
    for index, bar in enumerate(tensions.bars):
        _bar(drawing, tensions, bar, (left, right), top - (index + 1) * _ROW)
    _axis(drawing, tensions, (left, right, bottom, top))
    drawing.add(legend.draw(entries, left=0, bottom=0, width=width))
    return drawing


def _legend(
    tensions: content.TensionBars, wording: content.Wording
) -> list[legend.Entry]:
    if not any(_outside(tensions, bar.value) for bar in tensions.bars):
        return []
    patch = legend.patch(fill=palette.LOST, edge=palette.INK, hatched=palette.LOST_EDGE)
    return [legend.Entry(sample=patch, words=wording.legend_outside)]


def _allowed(
    drawing: shapes.Drawing,
    tensions: content.TensionBars,
    frame: tuple[float, float, float, float],
) -> None:
    left, right, bottom, top = frame
    for tick in (tensions.allowed_low, tensions.allowed_high):
        if tick is None:
            continue
        x = chart.along(tensions.axis, tick.position, left, right)
        drawing.add(
            marks.line(
                (x, bottom),
                (x, top + 1),
                colour=palette.LIMIT,
                weight=1.0,
                dash=(6, 2.5),
            )
        )


def _bar(
    drawing: shapes.Drawing,
    tensions: content.TensionBars,
    bar: content.TensionBar,
    ends: tuple[float, float],
    y: float,
) -> None:
    left, right = ends
    end = chart.along(tensions.axis, bar.value, left, right)
    outside = _outside(tensions, bar.value)
    fill = palette.LOST if outside else palette.METAL
    drawing.add(marks.box(left, y + 3, end - left, 9, fill=fill, edge=palette.INK))
    if outside:
        corners = ((left, y + 3), (end, y + 3), (end, y + 12), (left, y + 12))
        drawing.add(hatching.hatch(corners, colour=palette.LOST_EDGE))
    face = lettering.BOLD if outside else lettering.REGULAR
    drawing.add(marks.text(left - 4, y + 5, bar.label, anchor="end", room=left - 4))
    value = marks.text(
        left + 5, y + 5, bar.value_label, face=face, room=right - left - 10
    )
    wide = lettering.width(value.text, size=marks.TEXT, face=face)
    drawing.add(marks.box(left + 3, y + 4.2, wide + 4, 6.6, fill=palette.PAPER))
    drawing.add(value)


def _outside(tensions: content.TensionBars, value: float) -> bool:
    low, high = tensions.allowed_low, tensions.allowed_high
    return (low is not None and value < low.position) or (
        high is not None and value > high.position
    )


def _axis(
    drawing: shapes.Drawing,
    tensions: content.TensionBars,
    frame: tuple[float, float, float, float],
) -> None:
    left, right, bottom, top = frame
    drawing.add(marks.line((left, bottom), (right, bottom), weight=0.8))
    for tick in tensions.axis.ticks:
        x = chart.along(tensions.axis, tick.position, left, right)
        drawing.add(marks.line((x, bottom), (x, bottom - 3), weight=0.6))
        drawing.add(
            marks.centred(
                x,
                bottom - 10,
                tick.label,
                room=(right - left) / max(1, len(tensions.axis.ticks)),
                within=(0.0, drawing.width),
            )
        )
    drawing.add(
        marks.text(
            left,
            bottom - 19,
            tensions.axis.label,
            size=marks.SMALL,
            room=drawing.width - left,
        )
    )
    x = chart.along(tensions.axis, tensions.mean.position, left, right)
    drawing.add(marks.line((x, bottom), (x, top + 4), weight=0.9))
    _band_words(drawing, tensions, (left, right), top)


def _band_words(
    drawing: shapes.Drawing,
    tensions: content.TensionBars,
    ends: tuple[float, float],
    top: float,
) -> None:
    ticks = [
        tick
        for tick in (tensions.allowed_low, tensions.mean, tensions.allowed_high)
        if tick is not None
    ]
    wanted = [chart.along(tensions.axis, tick.position, *ends) for tick in ticks]
    room = drawing.width / len(ticks) - 6
    shown = [
        lettering.shortened(tick.label, size=marks.SMALL, room=room) for tick in ticks
    ]
    sizes = [lettering.width(words, size=marks.SMALL) + 6 for words in shown]
    middles = marks.spread(wanted, sizes, 0.0, drawing.width)
    for words, x, middle in zip(shown, wanted, middles, strict=True):
        drawing.add(marks.line((x, top + 1), (middle, top + 11), weight=0.3))
        drawing.add(
            marks.text(middle, top + 13, words, size=marks.SMALL, anchor="middle")
        )
