"""Forecasts into the database: copied into a temporary table and inserted from there.

COPY straight into a table with row-level security is refused (PostgreSQL manual, COPY,
Notes); a temporary table has none, and the INSERT from it is held against the policy.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

import numpy as np
from django.db import connection

from inspections.forecasts import breaks, clocks, copying, showing
from inspections.forecasts.answers import TrackForecasts
from inspections.forecasts.loading import CLASSES
from inspections.models import TrackPoint
from inspections.projection import layers
from inspections.reasons import Code, Reason, as_json, because

_COLUMNS = {
    "track": "int8",
    "state": "int4",
    "reason": "int4",
    "caution": "int4",
    "has_level": "bool",
    "on_trips": "bool",
    "level": "float8",
    "level_sd": "float8",
    "log_rate_sd": "float8",
    "centre": "float8",
    "noise_factor": "float8",
    "factor": "float8",
    "rate": "float8",
    "share_learnt": "float8",
    "limit_share": "float8",
    "last_on": "date",
    "p02_on": "date",
    "p10_on": "date",
    "p50_on": "date",
    "p90_on": "date",
    "plan_on": "date",
    "already": "float8",
    "next_visit_on": "date",
    "before_visit": "float8",
    "visit_before_on": "date",
}
_TYPES = {"bool": "boolean"}
TABLE = "forecast_results"
RUNS_AHEAD = because(Code.FORECAST_RUNS_AHEAD)
NOT_FITTED = because(Code.FORECAST_NOT_FITTED)
READ_OFF = because(Code.FORECAST_READ_OFF)
SOFTER_BELOW = because(Code.FORECAST_SOFTER_BELOW, times=layers.SOFTER)
# More than this share of a date's variance comes from the limit itself; our rule.
LIMIT_DOMINATES = 0.5


def begin() -> None:
    """Make the temporary table of this transaction."""
    columns = ", ".join(f"{n} {_TYPES.get(k, k)}" for n, k in _COLUMNS.items())
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TEMPORARY TABLE {TABLE} ({columns}) ON COMMIT DROP")


def store(
    *,
    answers: Sequence[TrackForecasts],
    contractor_id: int,
    run_id: int,
    as_of: datetime,
    model_version: str,
    cautions: dict[str, Reason],
) -> int:
    """Make the forecasts of some machines current; return how many.

    What they replace is kept as history once a month and for every change of the
    readings behind it; a repetition is not.
    """
    given: dict[str | Reason | None, int] = {None: 0}
    left_out: dict[int, list[int]] = {}
    machines: set[int] = set()
    for answer in answers:
        machines |= set(answer.tracks.machine.tolist())
        left_out |= _left_out(answer)
        rows = _rows(answer, as_of, given, cautions)
        copying.write(TABLE, columns=_COLUMNS, rows=rows)
    said = json.dumps(
        [{"track": track, "left_out": sorted(ids)} for track, ids in left_out.items()]
    )
    words: list[Any] = ["" if each is None else str(each)[:300] for each in given]
    codes: list[Any] = [
        json.dumps(as_json(each)) if isinstance(each, Reason) else None
        for each in given
    ]
    of, again = sorted(machines), [as_of, as_of]
    made: list[Any] = [run_id, as_of, model_version, words, codes, LIMIT_DOMINATES]
    with connection.cursor() as cursor:
        cursor.execute(_REPEAT, [said, *made, of, *again])
        stored = cursor.rowcount
        cursor.execute(_FORGET, [said, of, run_id, *again])
        cursor.execute(_SUPERSEDE, [of, run_id])
        cursor.execute(_INSERT, [contractor_id, said, *made])
        stored += cursor.rowcount
        cursor.execute(f"TRUNCATE {TABLE}")
    return int(stored)


def _rows(
    answer: TrackForecasts,
    as_of: datetime,
    given: dict[str | Reason | None, int],
    cautions: dict[str, Reason],
) -> dict[str, np.ndarray]:
    """Return the columns of the open tracks' forecasts."""
    chosen = answer.tracks.open
    said = answer.said

    def number(each: str | Reason | None) -> int:
        return given.setdefault(each, len(given))

    def numbers(values: Sequence[str | Reason | None]) -> np.ndarray:
        numbered = np.array([number(each) for each in values], dtype=np.int32)
        return np.asarray(numbered[chosen])

    last = answer.last.astype("datetime64[s]").astype("datetime64[D]")
    begun = answer.tracks.begun.astype("datetime64[s]").astype("datetime64[D]")

    def day(years: np.ndarray) -> np.ndarray:
        found = np.maximum(showing.days(last=last, years=years), begun)
        return np.asarray(copying.days(found)[chosen])

    today = np.datetime64(as_of.date(), "D")
    soonest = np.maximum(showing.days(last=last, years=said.visit), today)
    due = answer.next_visit.astype("datetime64[s]").astype("datetime64[D]")
    columns = {
        "track": answer.tracks.id,
        "has_level": answer.has_level,
        "on_trips": answer.on_trips,
        "level": answer.level,
        "level_sd": np.where(np.isfinite(answer.level_sd), answer.level_sd, -1.0),
        "log_rate_sd": answer.log_rate_sd,
        "centre": answer.centre_years,
        "noise_factor": answer.noise_factor,
        "factor": answer.factor,
        "rate": answer.rate_per_year,
        "share_learnt": answer.share_learnt,
        "limit_share": answer.limit_share,
        "already": answer.chance_already,
        "before_visit": answer.chance_before_visit,
        "last_on": copying.days(last),
        "next_visit_on": copying.days(due),
        "visit_before_on": copying.days(soonest),
    }
    return {name: column[chosen] for name, column in columns.items()} | {
        "state": numbers(said.state),
        "reason": numbers(said.reason),
        "caution": numbers(_cautions(answer, cautions)),
        "p02_on": day(said.p02),
        "p10_on": day(said.p10),
        "p50_on": day(said.p50),
        "p90_on": day(said.p90),
        "plan_on": day(said.plan),
    }


def _cautions(
    answer: TrackForecasts, of_class: dict[str, Reason]
) -> list[Reason | None]:
    """Return what is said beside each forecast: of itself first, then of its class."""
    found = []
    kinds = answer.tracks.class_number.tolist()
    rows = zip(
        kinds,
        answer.speeding.tolist(),
        answer.softer.tolist(),
        answer.read_off.tolist(),
        strict=True,
    )
    for kind, ahead, softer, read_off in rows:
        of_kind = of_class.get(CLASSES[kind])
        said = [RUNS_AHEAD] if ahead else []
        said += [SOFTER_BELOW] if softer else []
        said += [READ_OFF] if read_off else []
        said += [of_kind] if of_kind else []
        found.append(said[0].with_also(*said[1:]) if said else None)
    return found


def _left_out(answer: TrackForecasts) -> dict[int, list[int]]:
    """Return the readings that a forecast set aside, by track."""
    tracks, points = answer.left_out.tolist()
    if not points:
        return {}
    of_point = dict(
        TrackPoint.objects.filter(pk__in=points).values_list("pk", "readings")
    )
    found: dict[int, list[int]] = defaultdict(list)
    for track, point in zip(tracks, points, strict=True):
        found[track] += of_point[point]
    return found


def standing_cautions(
    scores: dict[str, Reason], *, not_fitted: Iterable[str] = ()
) -> dict[str, Reason]:
    """Return what must be said of every forecast of a class, by class."""
    found = dict.fromkeys(breaks.CLASSES, breaks.CAUTION)
    for name, record in scores.items():
        found[name] = record.with_also(found[name]) if name in found else record
    for name in not_fitted:
        found[name] = NOT_FITTED.with_also(found[name]) if name in found else NOT_FITTED
    return found


_LEFT_OUT = (
    "LEFT JOIN jsonb_to_recordset(%s::jsonb) AS o(track bigint, left_out bigint[]) "
    "ON o.track = t.id "
)
_USED = (
    "CASE WHEN o.left_out IS NULL THEN t.readings ELSE "
    "ARRAY(SELECT unnest(t.readings) EXCEPT SELECT unnest(o.left_out) ORDER BY 1) END"
)

# A standing forecast is repeated if it was made in the same month from the same
# readings; it has no verdict yet then, and the new one says the same and more.
_REPEATED = f"""f.as_of <= %s AND f.readings_used = {_USED} AND f.verdict = ''
  AND f.read_at IS NULL AND date_trunc('month', f.as_of AT TIME ZONE 'UTC')
      = date_trunc('month', %s::timestamptz AT TIME ZONE 'UTC')"""


def _dated(name: str) -> str:
    return f"nullif(r.{name}, 'infinity'::date)"


def _of_level(name: str) -> str:
    return f"CASE WHEN r.has_level THEN r.{name} END"


# Whose a forecast is, and what it says; each column by what it is made of.
_OF = {
    "machine_id": "t.machine_id",
    "groove_id": "t.groove_id",
    "rope_id": "t.rope_id",
    "track_id": "t.id",
    "quantity": "t.quantity",
    "place": "t.place",
    "class_name": "t.class_name",
}
_MADE = {
    "run_id": "g.run_id",
    "as_of": "g.as_of",
    "model_version": "g.model_version",
}
_SAYS = {
    "clock": f"CASE WHEN r.on_trips THEN '{clocks.TRIPS}' ELSE '{clocks.YEARS}' END",
    "state": "g.words[r.state + 1]",
    "reason": "g.words[r.reason + 1]",
    "said": "g.codes[r.reason + 1]",
    "caution": "g.words[r.caution + 1]",
    "caution_said": "g.codes[r.caution + 1]",
    "level": _of_level("level"),
    "level_sd": "CASE WHEN r.has_level THEN nullif(r.level_sd, -1) END",
    "rate_per_year": _of_level("rate"),
    "log_rate_sd": _of_level("log_rate_sd"),
    "centre_years": _of_level("centre"),
    "noise_factor": _of_level("noise_factor"),
    "planning_factor": "r.factor",
    "share_learnt": "r.share_learnt",
    '"limit"': "t.limit_level",
    "limit_sd": "t.limit_sd",
    "limit_reason": "t.limit_reason",
    "limit_dominated_by": "t.limit_dominated_by",
    "limit_share": "r.limit_share",
    "measure_first": "CASE WHEN r.limit_share > g.dominates "
    "THEN t.limit_dominated_by ELSE '' END",
    "safety": "t.safety",
    "last_on": _dated("last_on"),
    "p02_on": _dated("p02_on"),
    "p10_on": _dated("p10_on"),
    "p50_on": _dated("p50_on"),
    "p90_on": _dated("p90_on"),
    "plan_before_on": _dated("plan_on"),
    "chance_already": "r.already",
    "next_visit_on": _dated("next_visit_on"),
    "chance_before_next_visit": "r.before_visit",
    "visit_before_on": _dated("visit_before_on"),
    "readings_left_out": "coalesce(o.left_out, '{}')",
}
_GIVEN = """(SELECT %s::bigint AS run_id, %s::timestamptz AS as_of,
     %s::text AS model_version, %s::text[] AS words, %s::jsonb[] AS codes,
     %s::float8 AS dominates) g"""
_FROM = f"{TABLE} r JOIN inspections_weartrack t ON t.id = r.track"

# In its place: nothing of whose it is changes, so that no reference is checked again.
_REPEAT = f"""
UPDATE inspections_forecast f SET version = f.version + 1, created_at = now(),
     {", ".join(f"{name} = {made}" for name, made in (_MADE | _SAYS).items())}
FROM {_FROM} {_LEFT_OUT} CROSS JOIN {_GIVEN}
WHERE f.current AND f.machine_id = ANY(%s::bigint[]) AND f.track_id = t.id
  AND ({", ".join(f"f.{name}" for name in _OF)})
      IS NOT DISTINCT FROM ({", ".join(_OF.values())})
  AND {_REPEATED}
"""
# Of another place or part by now: nobody asks for it.
_FORGET = f"""
DELETE FROM inspections_forecast f USING inspections_weartrack t {_LEFT_OUT}
WHERE f.current AND f.machine_id = ANY(%s::bigint[]) AND f.track_id = t.id
  AND f.run_id IS DISTINCT FROM %s AND {_REPEATED}
"""
_SUPERSEDE = """
UPDATE inspections_forecast SET current = false
WHERE current AND machine_id = ANY(%s::bigint[]) AND run_id IS DISTINCT FROM %s
"""
_INSERT = f"""
INSERT INTO inspections_forecast
    (contractor_id, version, current, verdict, readings_used,
     {", ".join(_OF | _MADE | _SAYS)})
SELECT %s, 1, true, '', {_USED},
     {", ".join((_OF | _MADE | _SAYS).values())}
FROM {_FROM} {_LEFT_OUT} CROSS JOIN {_GIVEN}
WHERE NOT EXISTS (SELECT FROM inspections_forecast f
    WHERE f.current AND f.track_id = t.id AND f.run_id = g.run_id)
ORDER BY t.id
"""


def end() -> None:
    """Drop the temporary table; another run of the transaction may begin."""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TABLE {TABLE}")
