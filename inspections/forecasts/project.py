"""Project the wear of machines to their limits and store what may be shown."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

import numpy as np

from fleet.tenancy import Scope
from inspections import inputs, queries
from inspections.forecasts import arrays, dates
from inspections.forecasts.arrays import Columns
from inspections.forecasts.series import STARTING_RATES, WearSeries, of_machine
from inspections.models import Forecast, ForecastState, WearLimit
from inspections.projection import forecasting, hyper
from inspections.projection.forecasting import Forecasts

# Raised whenever the same readings could give other dates.
MODEL_VERSION = "1"
HORIZON_YEARS = 1.0

_WHY_NOT = {
    forecasting.NO_READING: "no reading yet",
    forecasting.NO_LIMIT: "no limit is known for this place",
}


def project(*, scope: Scope, machine_ids: Sequence[int], as_of: datetime) -> int:
    """Forecast every worn quantity of machines; return how many forecasts stand.

    The new forecasts replace the standing ones of these machines in one step.
    """
    limits: dict[int, list[WearLimit]] = {}
    for limit in queries.wear_limits(scope=scope, machine_ids=machine_ids):
        limits.setdefault(limit.machine_id, []).append(limit)
    series = [
        one
        for snapshot in inputs.load(scope=scope, machine_ids=machine_ids, as_of=as_of)
        for one in of_machine(snapshot, limits=limits.get(snapshot.machine.pk, []))
    ]
    rows = list(_rows(scope=scope, series=series, as_of=as_of)) if series else []
    Forecast.objects.within(scope).filter(machine__in=machine_ids, current=True).update(
        current=False
    )
    Forecast.objects.bulk_create(rows, batch_size=2000)
    return len(rows)


def _rows(
    *, scope: Scope, series: Sequence[WearSeries], as_of: datetime
) -> Iterator[Forecast]:
    found = arrays.columns(series)
    answers = forecasting.forecast(
        readings=found.arranged.readings,
        hierarchy=found.hierarchy,
        limits=found.limits,
        known_installation=found.known_installation,
        horizon_years=np.full(len(found.series), HORIZON_YEARS),
        hyper=hyper.starting(rate_per_clock=np.array(list(STARTING_RATES.values()))),
    )
    for number, one in enumerate(found.series):
        yield _row(
            scope=scope,
            one=one,
            number=number,
            columns=found,
            answers=answers,
            as_of=as_of,
        )


def _row(
    *,
    scope: Scope,
    one: WearSeries,
    number: int,
    columns: Columns,
    answers: Forecasts,
    as_of: datetime,
) -> Forecast:
    """Return the row of one series' forecast."""
    shown = _shown(one, number, columns=columns, answers=answers)
    has_level = bool(one.points)
    safety = one.limit is not None and one.limit.safety
    used, left_out = _readings(number, columns, answers)
    return Forecast(
        contractor_id=scope.contractor_id,
        machine_id=one.machine_id,
        groove_id=one.groove_id,
        rope_id=one.rope_id,
        quantity=one.quantity,
        place=one.place,
        as_of=as_of,
        state=shown.state,
        reason=shown.reason,
        level=float(answers.level_mm[number]) if has_level else None,
        level_sd=_finite(answers.level_sd_mm[number]) if has_level else None,
        rate_per_year=float(answers.rate_mm_per_clock[number]) if has_level else None,
        limit=one.limit_level_mm,
        limit_sd=one.limit.sd if one.limit else None,
        limit_reason=one.limit.reason if one.limit else "",
        limit_dominated_by=one.limit.dominated_by if one.limit else "",
        p02_on=shown.p02_on,
        p10_on=shown.p10_on,
        p50_on=shown.p50_on,
        p90_on=shown.p90_on,
        plan_before_on=shown.p02_on if safety else shown.p10_on,
        chance_already=float(answers.chance_already[number]),
        band=_band(one, shown, float(answers.level_mm[number])),
        model_version=MODEL_VERSION,
        readings_used=used,
        readings_left_out=left_out,
    )


def _shown(
    one: WearSeries, number: int, *, columns: Columns, answers: Forecasts
) -> dates.Shown:
    if not one.points:
        return dates.Shown(state=ForecastState.NONE, reason="no reading yet")
    state = int(answers.state[number])
    if state in _WHY_NOT:
        return dates.Shown(state=ForecastState.NONE, reason=_WHY_NOT[state])
    last = int(columns.arranged.readings.bounds[number + 1]) - 1
    p02, p10, p50, p90 = (float(y) for y in answers.quantiles_years[:, number])
    return dates.show(
        last_on=one.points[-1].taken_at.date(),
        years=(p02, p10, p50, p90),
        readings_count=len(one.points),
        known_installation=one.tolerance_mm is not None,
        share_learnt=float(answers.share_learnt[number]),
        chance_already=float(answers.chance_already[number]),
        last_is_outlier=bool(answers.flagged[last]),
    )


def _readings(
    number: int, columns: Columns, answers: Forecasts
) -> tuple[list[int], list[int]]:
    """Return the ids of readings a forecast rests on, and of those it left out."""
    bounds = columns.arranged.readings.bounds
    used: set[int] = set()
    left_out: set[int] = set()
    for at in range(int(bounds[number]), int(bounds[number + 1])):
        point = columns.points[int(columns.arranged.source[at])]
        if point is None:
            continue
        series, place = point
        ids = columns.series[series].points[place].readings
        (left_out if answers.flagged[at] else used).update(ids)
    return sorted(used), sorted(left_out - used)


def _band(
    one: WearSeries, shown: dates.Shown, level_mm: float
) -> list[list[str | float]]:
    """Return the curve from the last reading on: [day, low, middle, high] in mm.

    Straight lines from today's level to the limit at the P90, P50 and P10 dates, so
    that picture and dates say the same.
    """
    days = (shown.p90_on, shown.p50_on, shown.p10_on)
    if one.limit_level_mm is None or not one.points or None in days:
        return []
    start = one.points[-1].taken_at.date()
    until = [day for day in days if day is not None]
    if min(until) <= start:
        return []
    rates = [(one.limit_level_mm - level_mm) / (day - start).days for day in until]
    points: list[list[str | float]] = []
    for day in sorted({start, *until}):
        past = (day - start).days
        points.append([day.isoformat(), *(level_mm + rate * past for rate in rates)])
    return points


def _finite(value: Any) -> float | None:
    number = float(value)
    return number if np.isfinite(number) else None
