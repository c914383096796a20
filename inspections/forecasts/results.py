"""Forecasts into the database: copied into a temporary table and inserted from there.

COPY straight into a table with row-level security is refused (PostgreSQL manual, COPY,
Notes); a temporary table has none, and the INSERT from it is held against the policy.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

import numpy as np
from django.db import connection

from inspections.forecasts import breaks, copying, showing, statements
from inspections.forecasts.answers import TrackForecasts
from inspections.forecasts.loading import CLASSES
from inspections.forecasts.statements import TABLE
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
RUNS_AHEAD = because(Code.FORECAST_RUNS_AHEAD)
NOT_FITTED = because(Code.FORECAST_NOT_FITTED)
READ_OFF = because(Code.FORECAST_READ_OFF)
SOFTER_BELOW = because(Code.FORECAST_SOFTER_BELOW, times=layers.SOFTER)
# More than this share of a date's variance comes from the limit itself; our rule.
LIMIT_DOMINATES = 0.5


def begin() -> None:
    """Make the temporary table of this transaction."""
    columns = ", ".join(f"{n} {_TYPES.get(k, k)}" for n, k in _COLUMNS.items())
    columns += ", stands bigint, same boolean"
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TEMPORARY TABLE {TABLE} ({columns}) ON COMMIT DROP")


def store(
    *,
    answers: Sequence[TrackForecasts],
    contractor_id: int,
    run_id: int,
    as_of: datetime,
    model_version: str,
    learnt_id: int | None,
    cautions: dict[str, Reason],
) -> int:
    """Make the forecasts of some machines current; return how many.

    What they replace is kept as history once a month and for every change of the
    readings behind it; a repetition is not. One that says the same as the standing
    one, from the same knowledge, leaves it as it is, with its run and its day.
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
    of, again = sorted(machines), [_month_of(as_of), as_of]
    made: list[Any] = [run_id, as_of, model_version, words, codes, LIMIT_DOMINATES]
    with connection.cursor() as cursor:
        cursor.execute(statements.MATCH, [learnt_id, said, *made, of, *again])
        stored = cursor.rowcount
        cursor.execute(statements.REPEAT, [said, *made])
        cursor.execute(statements.FORGET, [said, of, *again])
        cursor.execute(statements.SUPERSEDE, [of])
        cursor.execute(statements.INSERT, [contractor_id, said, *made])
        stored += cursor.rowcount
        cursor.execute(f"TRUNCATE {TABLE}")
    return int(stored)


def _month_of(moment: datetime) -> datetime:
    """Return the beginning of its month, in UTC."""
    day = moment.astimezone(UTC).date().replace(day=1)
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


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


def end() -> None:
    """Drop the temporary table; another run of the transaction may begin."""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TABLE {TABLE}")
