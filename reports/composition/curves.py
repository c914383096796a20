"""Wear curves: readings over time, the limit, and the forecast's dates."""

from datetime import date, timedelta

from django.utils.translation import gettext, gettext_noop, ngettext
from django.utils.translation import gettext as _

from inspections.forecasts.series import WearSeries
from inspections.models import Forecast
from reports import content
from reports.composition import words
from reports.composition.outlook import caption, outlook
from reports.composition.reader import Reader

_TITLES = {
    "seat_depth": gettext_noop("%(place)s: how deep the rope has sunk into the metal"),
    "diameter_loss": gettext_noop("%(place)s: diameter"),
    "counterweight_runby": gettext_noop("Counterweight run-by"),
    "pulley_groove_spread": gettext_noop("%(place)s: how far its grooves differ"),
}
_LABELS = {
    "seat_depth": gettext_noop("Seat depth"),
    "diameter_loss": gettext_noop("Rope diameter"),
    "counterweight_runby": gettext_noop("Run-by"),
    "pulley_groove_spread": gettext_noop("Difference"),
}
# A curve of less says nothing a table does not.
LEAST_READINGS = 2


def curve(
    series: WearSeries,
    forecast: Forecast | None,
    *,
    reader: Reader,
    today: date,
    events: tuple[tuple[date, str], ...],
) -> content.WearCurve | None:
    """Return the curve of a series; None with too few readings to draw."""
    if series.quantity not in _TITLES or len(series.points) < LEAST_READINGS:
        return None
    drawing = _Drawing(series=series, forecast=forecast, reader=reader, today=today)
    label = gettext(_LABELS[series.quantity])
    place = words.place(series.place)
    return content.WearCurve(
        title=gettext(_TITLES[series.quantity])
        % {"place": place[:1].upper() + place[1:]},
        time_axis=drawing.time_axis(),
        value_axis=drawing.value_axis(label),
        readings=drawing.readings(),
        limit=drawing.limit(),
        forecast=drawing.forecast_points(),
        today=drawing.tick(today),
        crossing=drawing.crossing(),
        events=tuple(
            content.AxisTick(position=drawing.x(day), label=label)
            for day, label in events
            if day > drawing.first
        ),
        outlook=outlook(forecast, reader=reader, today=today),
        caption=" ".join(
            filter(None, (caption(forecast, reader=reader), drawing.why_not_drawn()))
        ),
        description=ngettext(
            "%(label)s at %(place)s, %(count)s reading.",
            "%(label)s at %(place)s, %(count)s readings.",
            len(series.points),
        )
        % {
            "label": label,
            "place": place or _("the machine"),
            "count": len(series.points),
        },
    )


class _Drawing:
    """One curve's axes and points; x counts days, y is in the reader's unit."""

    def __init__(
        self,
        *,
        series: WearSeries,
        forecast: Forecast | None,
        reader: Reader,
        today: date,
    ) -> None:
        self.series, self.forecast, self.reader = series, forecast, reader
        self.today = today
        self.first = min(series.points[0].taken_at.date(), today) - timedelta(days=60)
        self.last = max([today, *self._dates()]) + timedelta(days=120)

    def _dates(self) -> list[date]:
        """Return the forecast's days that fit on the axis, P50 at the least."""
        if self.forecast is None:
            return []
        horizon = self.series.points[-1].taken_at.date() + timedelta(days=3650)
        days = (self.forecast.p10_on, self.forecast.p50_on, self.forecast.p90_on)
        return [min(day, horizon) for day in days if day is not None]

    def x(self, day: date) -> float:
        return float((day - self.first).days)

    def y(self, level_mm: float) -> float:
        start, falls = self.series.shown_from_mm, self.series.falls
        shown = start - level_mm if falls else start + level_mm
        return self.reader.length_number(shown)

    def tick(self, day: date) -> content.AxisTick:
        return content.AxisTick(position=self.x(day), label=self.reader.day(day))

    def readings(self) -> tuple[content.CurveReading, ...]:
        return tuple(
            content.CurveReading(
                x=self.x(point.taken_at.date()),
                y=self.y(point.level_mm),
                uncertainty=self.reader.length_number(point.sd_mm),
            )
            for point in self.series.points
        )

    def limit(self) -> content.LimitLine | None:
        level = self.series.limit_level_mm
        if level is None or self.series.limit is None:
            return None
        sd = self.series.limit.sd
        ends = sorted((self.y(level - sd), self.y(level + sd)))
        shown = self.series.shown_from_mm + (-level if self.series.falls else level)
        return content.LimitLine(
            value=self.y(level),
            low=ends[0],
            high=ends[1],
            label=_("limit %(length)s") % {"length": self.reader.quantity(shown, "mm")},
        )

    def forecast_points(self) -> tuple[content.ForecastPoint, ...]:
        if self.forecast is None:
            return ()
        end = self.x(self.last)
        points: list[content.ForecastPoint] = []
        for day, *levels in self.forecast.band:
            at = self.x(date.fromisoformat(day))
            low, middle, high = sorted(self.y(level) for level in levels)
            point = content.ForecastPoint(x=at, p10=low, p50=middle, p90=high)
            if at <= end:
                points.append(point)
                continue
            if points:
                points.append(_cut(points[-1], point, at=end))
            break
        return tuple(points)

    def why_not_drawn(self) -> str:
        """Return why a forecast with a date has no band; "" where it has one."""
        dated = self.forecast is not None and self.forecast.p50_on is not None
        if not dated or self.forecast_points():
            return ""
        return _("Its course is not drawn: its latest day is not known.")

    def crossing(self) -> tuple[content.AxisTick, ...]:
        if self.forecast is None:
            return ()
        days = (self.forecast.p10_on, self.forecast.p50_on, self.forecast.p90_on)
        if None in days:
            return ()
        return tuple(
            content.AxisTick(
                position=self.x(day),
                label=self.reader.roughly(day, today=self.today),
            )
            for day in days
            if day and day <= self.last
        )

    def time_axis(self) -> content.ChartAxis:
        years = content.axes.year_starts(first=self.first, last=self.last, at_most=8)
        return content.ChartAxis(
            label="",
            low=0.0,
            high=self.x(self.last),
            ticks=tuple(
                content.AxisTick(position=self.x(day), label=str(day.year))
                for day in years
            ),
        )

    def value_axis(self, label: str) -> content.ChartAxis:
        values = [r.y - r.uncertainty for r in self.readings()]
        values += [r.y + r.uncertainty for r in self.readings()]
        line = self.limit()
        if line is not None:
            values += [line.low, line.high]
        low, high = min(values), max(values)
        room = max(0.12 * (high - low), 1e-3)
        low, high = low - room, high + room
        places = content.axes.nice_positions(low=low, high=high)
        return content.ChartAxis(
            label=f"{label} [{self.reader.length_unit()}]",
            low=low,
            high=high,
            ticks=tuple(
                content.AxisTick(position=p, label=self.reader.plain(p)) for p in places
            ),
        )


def _cut(
    before: content.ForecastPoint, after: content.ForecastPoint, *, at: float
) -> content.ForecastPoint:
    """Return the point between two, where the axis ends."""
    share = (at - before.x) / (after.x - before.x)
    return content.ForecastPoint(
        x=at,
        p10=before.p10 + share * (after.p10 - before.p10),
        p50=before.p50 + share * (after.p50 - before.p50),
        p90=before.p90 + share * (after.p90 - before.p90),
    )
