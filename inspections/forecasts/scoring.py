"""How good were we: past forecasts against what was read since.

A forecast has its verdict as soon as the limit is met or its P90 has passed. The rates
of a class are taken over whole cohorts only (forecasts whose P90 has passed, and, for
the early side, those whose P10 has): what ends early would else be counted first.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.db import connection

from fleet.platform.database.tenancy import Scope
from inspections.forecasts import class_records, next_readings
from inspections.forecasts.class_records import ClassRecord
from inspections.forecasts.loading import CLASSES, DAYS_A_YEAR
from inspections.models import ForecastScore, IntervalVerdict
from inspections.projection import scoring as kernel
from inspections.projection.scoring import INTERVAL, Record
from inspections.reasons import Code, Reason, because

FEWEST = 30
_VERDICTS = {
    kernel.HIT: IntervalVerdict.HIT,
    kernel.EARLY: IntervalVerdict.EARLY,
    kernel.LATE: IntervalVerdict.LATE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """Past forecasts with P10 and P90 (n,): what was said and what came of it.

    track : of each
    low, middle, high, elapsed : years from the forecast's last reading; elapsed until
        the limit was met, the part renewed, or today
    met : the limit was met; p10_passed, p90_passed : the days have come
    """

    id: np.ndarray
    class_number: np.ndarray
    machine: np.ndarray
    track: np.ndarray
    low: np.ndarray
    middle: np.ndarray
    high: np.ndarray
    elapsed: np.ndarray
    met: np.ndarray
    p10_passed: np.ndarray
    p90_passed: np.ndarray


def score(*, scope: Scope, now: datetime) -> int:
    """Give past forecasts their verdicts, and each class its score of the day.

    Returns how many forecasts have a verdict that had none. Can run twice.
    """
    next_readings.keep(scope=scope)
    records = class_records.of_readings(scope=scope)
    past = _past(scope, now.date())
    given = _give_verdicts(past, now.date()) if past.id.size else 0
    for row in _scores(past, now.date(), records):
        ForecastScore.objects.update_or_create(
            contractor_id=scope.contractor_id,
            class_name=row.class_name,
            scored_on=row.scored_on,
            defaults={
                each.attname: getattr(row, each.attname)
                for each in ForecastScore._meta.concrete_fields
                if each.attname not in _NOT_SET
            },
        )
    return given


_NOT_SET = (
    "id",
    "contractor_id",
    "created_at",
    "version",
    "class_name",
    "scored_on",
)


def doubts(*, scope: Scope) -> dict[str, Reason]:
    """Return what to say of classes whose last score is doubtful."""
    rows = (
        ForecastScore.objects.within(scope)
        .order_by("class_name", "-scored_on")
        .distinct("class_name")
    )
    return {row.class_name: record_of(row) for row in rows if row.doubtful}


# The day a limit was met lies between two readings, on the straight line that joins
# them; a track's own limit may have moved, so the forecast's is taken.
_PAST = """
WITH judged AS (
    SELECT f.id, f.class_name, f.machine_id, f.track_id, f.last_on, f.p10_on, f.p50_on,
           f.p90_on,
           f."limit" AS bound, t.closed_on
    FROM inspections_forecast f
    JOIN inspections_weartrack t ON t.id = f.track_id
    WHERE f.p10_on IS NOT NULL AND f.p50_on IS NOT NULL
      AND f.p90_on IS NOT NULL AND f.last_on IS NOT NULL
      AND f."limit" IS NOT NULL AND f.state <> 'REACHED'
      AND f.class_name = ANY(%s::text[]) AND f.contractor_id = %s
)
SELECT j.id, array_position(%s::text[], j.class_name::text) - 1, j.machine_id,
       j.track_id, j.last_on, j.p10_on, j.p50_on, j.p90_on, j.closed_on, crossing.met_on
FROM judged j
LEFT JOIN LATERAL (
    SELECT (p.taken_at - (p.taken_at - p.before_at)
            * ((p.level - j.bound) / nullif(p.level - p.before, 0)))::date AS met_on
    FROM (
        SELECT taken_at, level, lag(level) OVER w AS before,
               lag(taken_at) OVER w AS before_at
        FROM inspections_trackpoint WHERE track_id = j.track_id
        WINDOW w AS (ORDER BY taken_at)
    ) p
    WHERE p.taken_at::date > j.last_on AND p.level >= j.bound AND p.before < j.bound
    ORDER BY p.taken_at LIMIT 1
) crossing ON true
ORDER BY j.id
"""


def _past(scope: Scope, today: date) -> Past:
    with connection.cursor() as cursor:
        cursor.execute(_PAST, [list(CLASSES), scope.contractor_id, list(CLASSES)])
        rows = cursor.fetchall()
    low, middle, high, elapsed, met = [], [], [], [], []
    for _, _, _, _, last_on, p10_on, p50_on, p90_on, closed_on, met_on in rows:
        end = met_on or min(closed_on or today, today)
        low.append((p10_on - last_on).days / DAYS_A_YEAR)
        middle.append((p50_on - last_on).days / DAYS_A_YEAR)
        high.append((p90_on - last_on).days / DAYS_A_YEAR)
        elapsed.append((end - last_on).days / DAYS_A_YEAR)
        met.append(met_on is not None)
    return Past(
        id=np.array([row[0] for row in rows], dtype=np.int64),
        class_number=np.array([row[1] for row in rows], dtype=np.int64),
        machine=np.array([row[2] for row in rows], dtype=np.int64),
        track=np.array([row[3] for row in rows], dtype=np.int64),
        middle=np.array(middle, dtype=np.float64),
        low=np.array(low, dtype=np.float64),
        high=np.array(high, dtype=np.float64),
        elapsed=np.array(elapsed, dtype=np.float64),
        met=np.array(met, dtype=np.bool_),
        p10_passed=np.array([row[5] <= today for row in rows], dtype=np.bool_),
        p90_passed=np.array([row[7] <= today for row in rows], dtype=np.bool_),
    )


def _give_verdicts(past: Past, today: date) -> int:
    found = kernel.verdicts(
        low=past.low, high=past.high, elapsed=past.elapsed, met=past.met
    )
    closed = found != kernel.OPEN
    words = [str(_VERDICTS[code]) for code in found[closed].tolist()]
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE inspections_forecast f SET verdict = v.verdict, verdict_on = %s "
            "FROM unnest(%s::bigint[], %s::text[]) AS v(id, verdict) "
            "WHERE f.id = v.id AND f.verdict <> v.verdict",
            [today, past.id[closed].tolist(), words],
        )
        return int(cursor.rowcount)


def _scores(
    past: Past, today: date, records: Mapping[str, ClassRecord]
) -> list[ForecastScore]:
    whole = _record(past, past.p90_passed)
    begun, early, error = _early(past)
    rows = []
    read = [CLASSES.index(name) for name in records]
    for number in sorted({*np.unique(past.class_number).tolist(), *read}):
        early_doubt = begun[number] >= FEWEST and early[number] - INTERVAL[0] > (
            2.0 * max(error[number], 0.01)
        )
        row = ForecastScore(
            class_name=CLASSES[number],
            scored_on=today,
            judged=int(whole.judged[number]),
            hits=float(whole.hits[number]),
            early=float(whole.early[number]),
            late=float(whole.late[number]),
            coverage_error=float(whole.coverage_error[number]),
            pinball_low_years=float(whole.pinball_low[number]),
            begun=int(begun[number]),
            begun_early=float(early[number]),
            begun_error=float(error[number]),
            doubtful=bool(whole.doubtful[number] or early_doubt),
        )
        if CLASSES[number] in records:
            records[CLASSES[number]].write(row)
        row.met_by = _met_by(past, past.class_number == number)
        row.words = str(record_of(row))
        rows.append(row)
    return rows


def _met_by(past: Past, chosen: np.ndarray) -> list[dict[str, float]]:
    """Return how often dates came true, the first forecast of each part only."""
    own = np.flatnonzero(chosen)
    _, first = np.unique(past.track[own], return_index=True)
    of = own[first]
    if of.size == 0:
        return []
    return class_records.met_by(
        quantiles_years=np.stack([past.low[of], past.middle[of], past.high[of]]),
        elapsed_years=past.elapsed[of],
        met=past.met[of],
    )


def _record(past: Past, cohort: np.ndarray) -> Record:
    return kernel.record(
        low=past.low[cohort],
        high=past.high[cohort],
        elapsed=past.elapsed[cohort],
        met=past.met[cohort],
        group=past.class_number[cohort],
        machine=past.machine[cohort],
        groups=len(CLASSES),
    )


def _early(past: Past) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return per class: forecasts whose P10 has passed, the share early, its error.

    The error takes a machine's forecasts as one cluster.
    """
    cohort = past.p10_passed
    group, machine = past.class_number[cohort], past.machine[cohort]
    early = past.met[cohort] & (past.elapsed[cohort] < past.low[cohort])
    count = np.bincount(group, minlength=len(CLASSES)).astype(np.float64)
    share = np.bincount(group, weights=early, minlength=len(CLASSES)) / np.maximum(
        count, 1.0
    )
    _, cluster = np.unique(np.stack([group, machine]), axis=1, return_inverse=True)
    summed = np.bincount(cluster.ravel(), weights=early - share[group])
    of = np.zeros(summed.size, dtype=np.int64)
    of[cluster.ravel()] = group
    variance = np.bincount(of, weights=summed**2, minlength=len(CLASSES))
    return count, share, np.sqrt(variance) / np.maximum(count, 1.0)


def record_of(row: ForecastScore) -> Reason:
    """Return what a score says of a class's past forecasts."""
    if not row.judged and not row.begun:
        return because(Code.RECORD_NONE)
    if row.judged:
        said = because(
            Code.RECORD_HELD,
            judged=row.judged,
            held=round(100 * row.hits),
            early=round(100 * row.early),
        )
    else:
        early = round(100 * row.begun_early)
        said = because(Code.RECORD_BEGUN, begun=row.begun, early=early)
    return said.with_also(because(Code.READ_WITH_CARE)) if row.doubtful else said
