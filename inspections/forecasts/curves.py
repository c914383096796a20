"""The course of one forecast over time: readings, band by the model, limit, dates."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.forecasts import clocks, knowledge, loading, shapes
from inspections.forecasts.loading import DAYS_A_YEAR, Tracks
from inspections.models import Forecast, TrackPoint
from inspections.projection import courses
from inspections.reasons import Code, because

POINTS = 13
LONGEST_YEARS = 25.0
SHORTEST_YEARS = 0.5
NO_BAND = str(because(Code.FORECAST_NO_BAND))


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """The level on a day: 80 % of forecasts lie between low and high."""

    on: date
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingOnCurve:
    on: date
    level: float
    sd: float
    left_out: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Everything a drawing of one forecast needs, in levels that rise to the limit.

    The value that a gauge shows is `shown_from - level` where it falls, else
    `shown_from + level`. Without a middle date there are no points; `reason` says why.
    """

    readings: tuple[ReadingOnCurve, ...]
    points: tuple[CurvePoint, ...]
    reason: str
    shown_from: float
    falls: bool


def curve(*, scope: Scope, forecast: Forecast) -> Curve:
    """Return the curve of a forecast that stands."""
    track = forecast.track
    left_out = set(forecast.readings_left_out)
    rows = TrackPoint.objects.within(scope).filter(track=track).order_by("taken_at")
    readings = tuple(
        ReadingOnCurve(
            on=row.taken_at.date(),
            level=row.level,
            sd=row.sd,
            left_out=not left_out.isdisjoint(row.readings),
        )
        for row in rows
    )
    points = tuple(_points(scope, forecast)) if _has_band(forecast) else ()
    return Curve(
        readings=readings,
        points=points,
        reason="" if points else forecast.reason or NO_BAND,
        shown_from=track.shown_from if track else 0.0,
        falls=track.falls if track else False,
    )


def _has_band(forecast: Forecast) -> bool:
    return (
        forecast.track_id is not None
        and forecast.p50_on is not None
        and forecast.last_on is not None
        and forecast.level is not None
        and forecast.class_name in loading.CLASSES[: loading.FIRST_COUNT_CLASS]
    )


def _points(scope: Scope, forecast: Forecast) -> Iterator[CurvePoint]:
    found = loading.load(machine_ids=[forecast.machine_id])
    number = loading.CLASSES.index(forecast.class_name)
    of_class = found.select(found.class_number == number)
    # Only what can be drawn: the kernel's course needs a limit.
    some = of_class.select(np.isfinite(of_class.limit_level) & _read(of_class))
    places = np.flatnonzero(some.id == forecast.track_id)
    if places.size == 0 or forecast.last_on is None:
        return
    known, _ = knowledge.latest(scope=scope)
    counters = None
    if known.typical_trips:
        fleet = queries.active_machines(scope=scope).values_list("pk", flat=True)
        counters = clocks.counters(
            scope=scope,
            machine_ids=sorted({forecast.machine_id, *fleet[: clocks.SAMPLE]}),
            until=datetime.now(UTC),
        )
    clock = clocks.clock(tracks=some, typical=known.typical_trips, found=counters)
    made = shapes.shape(tracks=some, clock=clock)
    for years in np.linspace(0.0, _until(forecast), POINTS):
        ahead = np.full(some.count, years)
        if clock.usage is not None:
            a_year = np.exp(clock.usage.log_per_year)
            ahead = clock.usage.steady(ahead) * a_year
        level = courses.course(
            readings=made.arranged.readings,
            hierarchy=made.hierarchy,
            limit_mm=made.reachable.limit_mm,
            known_installation=made.known,
            hyper=known.wear,
            ahead=ahead,
            confirmed=made.of_points(some.confirmed, otherwise=False),
        ).level_mm[:, places[0]]
        yield CurvePoint(
            on=forecast.last_on + timedelta(days=round(years * DAYS_A_YEAR)),
            low=float(level[0]),
            middle=float(level[1]),
            high=float(level[2]),
        )


def _until(forecast: Forecast) -> float:
    """Return how far the curve goes: to P90, or as far as is ever looked ahead."""
    if forecast.p90_on is None or forecast.last_on is None:
        return LONGEST_YEARS
    years = (forecast.p90_on - forecast.last_on).days / DAYS_A_YEAR
    return min(max(years, SHORTEST_YEARS), LONGEST_YEARS)


def _read(tracks: Tracks) -> np.ndarray:
    read: np.ndarray = np.bincount(tracks.track, minlength=tracks.count) > 0
    return read
