"""Readings over time, the limit with its own uncertainty, the forecast band."""

from reportlab.graphics import shapes

from reports import content
from reports.figures import chart, hatching, legend, lettering, marks, palette

_LIMIT_DASH = (6, 2.5)


def wear_curve(
    *,
    curve: content.WearCurve,
    wording: content.Wording,
    width: float = 490.0,
    height: float = 188.0,
) -> shapes.Drawing:
    """Return the curve within width and height, in points."""
    entries = _legend(curve, wording)
    left = chart.label_room(curve.value_axis)
    foot = (
        legend.height(entries, width - left) + 17.0 + (20.0 if curve.crossing else 0.0)
    )
    plot = chart.Plot(
        left=left,
        bottom=foot,
        right=width - 8,
        top=height - 26,
        time_axis=curve.time_axis,
        value_axis=curve.value_axis,
    )
    drawing = shapes.Drawing(width, height)
    # The grid lies behind what was read and what is forecast.
    chart.axes(drawing, plot)
    _forecast(drawing, curve, plot)
    _limit(drawing, curve, plot)
    _moments(drawing, curve, plot)
    _crossing(drawing, curve, plot)
    _readings(drawing, curve, plot)
    drawing.add(legend.draw(entries, left=plot.left, bottom=0, width=width - plot.left))
    return drawing


def _forecast(
    drawing: shapes.Drawing, curve: content.WearCurve, plot: chart.Plot
) -> None:
    if len(curve.forecast) < 2:
        return
    upper = [plot.point(point.x, point.p90) for point in curve.forecast]
    lower = [plot.point(point.x, point.p10) for point in curve.forecast]
    band = hatching.within(
        [*upper, *reversed(lower)], floor=plot.bottom, ceiling=plot.top
    )
    if len(band) > 2:
        drawing.add(marks.area(band, fill=palette.BAND))
    middle = [plot.point(point.x, point.p50) for point in curve.forecast]
    for line, weight in ((upper, 0.4), (lower, 0.4), (middle, 1.4)):
        pieces = hatching.line_within(line, floor=plot.bottom, ceiling=plot.top)
        for piece in pieces:
            drawing.add(marks.path(piece, colour=palette.ACCENT, weight=weight))


def _limit(drawing: shapes.Drawing, curve: content.WearCurve, plot: chart.Plot) -> None:
    limit = curve.limit
    if limit is None:
        return
    low, high = (
        min(max(plot.y(value), plot.bottom), plot.top)
        for value in (limit.low, limit.high)
    )
    if high - low > 0.5:
        corners = (
            (plot.left, low),
            (plot.right, low),
            (plot.right, high),
            (plot.left, high),
        )
        drawing.add(hatching.hatch(corners, spacing=7, colour=palette.LIMIT))
    y = plot.y(limit.value)
    if not plot.bottom <= y <= plot.top:
        return
    drawing.add(
        marks.line(
            (plot.left, y),
            (plot.right, y),
            colour=palette.LIMIT,
            weight=1.3,
            dash=_LIMIT_DASH,
        )
    )
    _limit_label(drawing, limit.label, plot, max(y, high))


def _limit_label(
    drawing: shapes.Drawing, label: str, plot: chart.Plot, above: float
) -> None:
    y = above + 3 if above + 11 < plot.top else above - 9
    words = marks.text(
        plot.left + 5,
        y,
        label,
        face=lettering.BOLD,
        colour=palette.LIMIT,
        room=plot.right - plot.left - 10,
    )
    wide = lettering.width(words.text, size=marks.TEXT, face=lettering.BOLD)
    # White under the words: hatching or the band may run behind them.
    drawing.add(marks.box(plot.left + 3, y - 2, wide + 4, 9, fill=palette.PAPER))
    drawing.add(words)


def _moments(
    drawing: shapes.Drawing, curve: content.WearCurve, plot: chart.Plot
) -> None:
    """Draw work done and the day of the report as upright lines with labels."""
    ticks = (*curve.events, *((curve.today,) if curve.today else ()))
    if not ticks:
        return
    middles = chart.spread_labels(drawing, plot, ticks, y=plot.top + 5)
    for tick, middle in zip(ticks, middles, strict=True):
        x = plot.x(tick.position)
        dash = None if tick is curve.today else (1.5, 2)
        drawing.add(
            marks.line(
                (x, plot.bottom),
                (x, plot.top),
                colour=palette.SOFT_INK,
                weight=0.6,
                dash=dash,
            )
        )
        drawing.add(marks.line((x, plot.top), (middle, plot.top + 4), weight=0.3))


def _readings(
    drawing: shapes.Drawing, curve: content.WearCurve, plot: chart.Plot
) -> None:
    for reading in curve.readings:
        x, y = plot.point(reading.x, reading.y)
        reach = abs(plot.y(reading.y + reading.uncertainty) - y)
        if reach > 2.5:
            drawing.add(marks.line((x, y - reach), (x, y + reach), weight=0.6))
            for end in (y - reach, y + reach):
                drawing.add(marks.line((x - 1.6, end), (x + 1.6, end), weight=0.6))
        drawing.add(_dot(x, y))


def _dot(x: float, y: float) -> shapes.Circle:
    return shapes.Circle(
        x, y, 2.1, fillColor=palette.PAPER, strokeColor=palette.INK, strokeWidth=0.9
    )


def _crossing(
    drawing: shapes.Drawing, curve: content.WearCurve, plot: chart.Plot
) -> None:
    """Mark on the time axis when the limit may be reached, with the dates in words."""
    inside = tuple(
        tick
        for tick in curve.crossing
        if curve.time_axis.low <= tick.position <= curve.time_axis.high
    )
    if not inside:
        return
    row = plot.bottom - 29
    middles = chart.spread_labels(drawing, plot, inside, y=row, face=lettering.BOLD)
    top = plot.y(curve.limit.value) if curve.limit else plot.top
    top = min(max(top, plot.bottom), plot.top)
    for tick, middle in zip(inside, middles, strict=True):
        x = plot.x(tick.position)
        drop = ((x, top), (x, plot.bottom))
        drawing.add(marks.line(*drop, colour=palette.LIMIT, weight=0.5, dash=(2, 1.5)))
        tip = (x, plot.bottom - 1)
        wings = ((x - 2.4, plot.bottom - 5.5), (x + 2.4, plot.bottom - 5.5))
        drawing.add(marks.area((tip, *wings), fill=palette.LIMIT))
        leader = ((x, plot.bottom - 12.5), (middle, row + 7))
        drawing.add(marks.line(*leader, colour=palette.LIMIT, weight=0.4))


def _legend(curve: content.WearCurve, wording: content.Wording) -> list[legend.Entry]:
    entries = []
    if curve.readings:
        entries.append(
            legend.Entry(
                sample=lambda x, y: [_dot(x + legend.SAMPLE_WIDTH / 2, y)],
                words=wording.legend_reading,
            )
        )
    if curve.limit is not None:
        dashed = legend.stroke(colour=palette.LIMIT, weight=1.3, dash=_LIMIT_DASH)
        entries.append(legend.Entry(sample=dashed, words=wording.legend_limit))
    if len(curve.forecast) > 1:
        middle = legend.stroke(colour=palette.ACCENT, weight=1.4)
        entries.append(legend.Entry(sample=middle, words=wording.legend_median))
        band = legend.patch(fill=palette.BAND, edge=palette.ACCENT)
        entries.append(legend.Entry(sample=band, words=wording.legend_band))
    return entries
