"""Each new reading is held against what was forecast for it, and that is kept.

Two readings count for each forecast: the first one after it, and the first after so
much expected wear that the gauge's own error no longer hides whether the rate was right
(``adapting.ENOUGH_WEAR``). Of forecasts from the same last reading the latest counts.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db import connection

from fleet.platform.database.tenancy import Scope
from inspections.forecasts import knowledge, loading
from inspections.forecasts.knowledge import Knowledge
from inspections.forecasts.loading import CLASSES, DAYS_A_YEAR, FIRST_COUNT_CLASS
from inspections.models import Hyperparameters
from inspections.projection import adapting, foretold
from inspections.projection.foretold import ForecastOrigin

_DAY_S = loading.DAY_S
# A day after the last reading is the same visit, or the same work gone on.
LEAST_DAYS = 2

# Of each forecast the readings after it, with the expected wear by then in deviations
# of the gauge; a level that is only known to be passed is no reading of it.
_READ = """
WITH told AS (
    SELECT DISTINCT ON (f.track_id, f.last_on)
           f.id, f.track_id, f.class_name, f.last_on, f.level, f.level_sd,
           f.rate_per_year, f.log_rate_sd, f.centre_years, f.noise_factor,
           f."limit" AS bound, f.read_at, f.read_level, f.tested_at, f.tested_level,
           r.hyperparameters_id AS learnt
    FROM inspections_forecast f JOIN inspections_forecastrun r ON r.id = f.run_id
    WHERE f.contractor_id = %s AND f.class_name = ANY(%s::text[])
      AND f.level IS NOT NULL AND f.level_sd IS NOT NULL AND f.last_on IS NOT NULL
      AND f.log_rate_sd IS NOT NULL AND f.centre_years IS NOT NULL
      AND f.noise_factor IS NOT NULL AND f."limit" > 0
    ORDER BY f.track_id, f.last_on, f.as_of DESC, f.id DESC
)
SELECT t.id, array_position(%s::text[], t.class_name::text) - 1, coalesce(t.learnt, 0),
       t.level, t.level_sd, t.rate_per_year, t.log_rate_sd, t.centre_years,
       t.noise_factor, t.bound, p.level, p.sd, extract(epoch FROM p.taken_at)::float8,
       extract(epoch FROM p.taken_at - t.last_on)::float8, k.tested
FROM told t CROSS JOIN (VALUES (false), (true)) AS k(tested) JOIN LATERAL (
    SELECT taken_at, level, sd FROM inspections_trackpoint
    WHERE track_id = t.track_id AND NOT at_least AND taken_at >= t.last_on + %s
      AND (NOT k.tested OR t.rate_per_year * extract(epoch FROM taken_at - t.last_on)
           / %s >= %s * sd)
    ORDER BY taken_at LIMIT 1
) p ON CASE WHEN k.tested
      THEN (t.tested_at, t.tested_level) ELSE (t.read_at, t.read_level) END
    IS DISTINCT FROM (p.taken_at, p.level)
ORDER BY t.id
"""

_KEEP = """
UPDATE inspections_forecast f
SET {at} = to_timestamp(v.at), {level} = v.level, {chance} = v.chance {score}
FROM unnest(%s::bigint[], %s::float8[], %s::float8[], %s::float8[], %s::float8[])
     AS v(id, at, level, chance, score)
WHERE f.id = v.id
"""
_KEEP_NEXT = _KEEP.format(
    at="read_at",
    level="read_level",
    chance="read_chance",
    score=", read_score = v.score",
)
_KEEP_TEST = _KEEP.format(
    at="tested_at", level="tested_level", chance="tested_chance", score=""
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Foretold:
    """Forecasts and a reading after each (n,); learnt : 0 where nothing was."""

    id: np.ndarray
    class_number: np.ndarray
    learnt: np.ndarray
    level: np.ndarray
    level_sd: np.ndarray
    rate: np.ndarray
    log_rate_sd: np.ndarray
    centre: np.ndarray
    noise_factor: np.ndarray
    limit: np.ndarray
    read: np.ndarray
    sd: np.ndarray
    at: np.ndarray
    seconds: np.ndarray
    tested: np.ndarray


def keep(*, scope: Scope) -> int:
    """Hold new readings against their forecasts; return how many. Can run twice.

    A reading that was corrected since is held against its forecast anew.
    """
    told = _told(scope)
    kept = 0
    for learnt in np.unique(told.learnt).tolist():
        known = _known(scope, learnt)
        if known is not None:
            kept += _keep(told, told.learnt == learnt, known)
    return kept


def _told(scope: Scope) -> _Foretold:
    lengths = list(CLASSES[:FIRST_COUNT_CLASS])
    values: list[Any] = [scope.contractor_id, lengths, list(CLASSES), LEAST_DAYS]
    with connection.cursor() as cursor:
        year_s = DAYS_A_YEAR * _DAY_S
        cursor.execute(_READ, [*values, year_s, adapting.ENOUGH_WEAR])
        rows = cursor.fetchall()
    columns = list(zip(*rows, strict=True)) if rows else [()] * 15
    whole = {0: np.int64, 1: np.int64, 2: np.int64, 14: np.bool_}
    return _Foretold(
        **{
            name: np.array(column, dtype=whole.get(place, np.float64))
            for place, (name, column) in enumerate(
                zip(_Foretold.__slots__, columns, strict=True)
            )
        }
    )


def _known(scope: Scope, learnt: int) -> Knowledge | None:
    """Return what a forecast knew of its class; None for a record of another form."""
    if not learnt:
        return knowledge.shared()
    row = Hyperparameters.objects.within(scope).get(pk=learnt)
    try:
        return knowledge.from_record(row.record)
    except (KeyError, ValueError):
        return None


def _keep(told: _Foretold, chosen: np.ndarray, known: Knowledge) -> int:
    wear, number = known.wear, told.class_number[chosen]
    origin = ForecastOrigin(
        level_mm=told.level[chosen],
        level_sd_mm=told.level_sd[chosen],
        rate_mm_per_year=told.rate[chosen],
        log_rate_sd=told.log_rate_sd[chosen],
        centre_years=told.centre[chosen],
        limit_mm=told.limit[chosen],
        drift=wear.drift[number],
        burst=wear.burst[number],
        curvature=wear.curvature[number],
    )
    found = foretold.outcome(
        origin,
        years=told.seconds[chosen] / (DAYS_A_YEAR * _DAY_S),
        level_mm=told.read[chosen],
        noise_mm=told.sd[chosen]
        * wear.noise_scale[number]
        * np.sqrt(told.noise_factor[chosen]),
    )
    kept = 0
    for is_test, statement in ((False, _KEEP_NEXT), (True, _KEEP_TEST)):
        of = told.tested[chosen] == is_test
        values = [
            column[of].tolist()
            for column in (
                told.id[chosen],
                told.at[chosen],
                told.read[chosen],
                found.pit,
                found.crps_mm,
            )
        ]
        with connection.cursor() as cursor:
            cursor.execute(statement, values)
            kept += int(cursor.rowcount) if not is_test else 0
    return kept
