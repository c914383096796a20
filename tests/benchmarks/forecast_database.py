"""How long is a fleet's run from database to database?

``python -m tests.benchmarks.forecast_database --json``. The yardstick is the least
that any program has to do: drain the same rows with ``COPY (SELECT ...) TO STDOUT
(FORMAT BINARY)`` and ``COPY`` prepared result rows into the table of forecasts, both by
the tables' owner, whom row-level security does not bind. Both sides commit. Run from
the project's folder; the embedded database of the tests is used. Seconds need a quiet
machine, and so do the ratios, whose two sides are timed one after the other.

A run an hour after another finds most rows the same and writes them not, so nights are
told by the run a day later. By then six machines in ten of this fleet, whose visits lie
at random, are due "today", which is another day; of a fleet that is looked after few
are. The first run writes every row.
"""

import argparse
import gc
import os
import statistics
import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import psycopg

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

SERIES = 20_000
REPEATS = 2
QUICK_SERIES = 2_000
REFERRING = (("inspections_machinestate", "first_id"),)
"""Columns that name a forecast and may be empty; a test compares with the database."""

Drained = list[bytes]


def measure(*, series: int, repeats: int = REPEATS) -> dict[str, Any]:
    """Return the figures: the night's run over a fleet and its yardstick."""
    from inspections.forecasts import order_run, run_fleet
    from tests.benchmarks import forecast_tracks

    contractor = forecast_tracks.make(series=series)
    running.tidy()

    def night(number: int, *, days: int = 0) -> int:
        from fleet.platform.database.tenancy import acting_for

        now = forecast_tracks.NOW + timedelta(days=days, hours=number)
        with acting_for(contractor_id=contractor.pk) as scope:
            run_id = order_run(scope=scope, now=now)
            return run_fleet(scope=scope, run_id=run_id, now=now)

    with psycopg.connect(os.environ["DATABASE_OWNER_URL"], autocommit=True) as owner:
        first, stored = timed(lambda: night(0))
        prepared = _drain(owner, _results(owner))
        drains, copies, nights, laters, firsts = [], [], [], [], [first]
        for number in range(repeats):
            running.tidy()
            nights.append(timed(lambda: night(number + 1))[0])  # noqa: B023
            running.tidy()
            laters.append(timed(lambda: night(number + 1, days=1))[0])  # noqa: B023
            _empty(owner)
            firsts.append(timed(lambda: night(number + 1))[0])  # noqa: B023
            _empty(owner)
            drains.append(timed(lambda: _drain_inputs(owner))[0])
            copies.append(timed(lambda: _fill(owner, prepared))[0])
    yardstick = min(drains) + min(copies)
    return {
        "series": stored,
        "run_seconds": round(min(nights), 3),
        "run_seconds_a_day_later": round(min(laters), 3),
        "run_seconds_into_an_empty_table": round(min(firsts), 3),
        "run_seconds_median": round(statistics.median(nights), 3),
        "drain_seconds": round(min(drains), 3),
        "copy_seconds": round(min(copies), 3),
        "database_ratio": round(min(nights) / yardstick, 3),
        "database_ratio_a_day_later": round(min(laters) / yardstick, 3),
        "database_ratio_into_an_empty_table": round(min(firsts) / yardstick, 3),
    }


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    gc.collect()
    begun = time.perf_counter()
    answer = work()
    return time.perf_counter() - begun, answer


def _drain_inputs(owner: Any) -> None:
    """Drain the rows that the run reads, in its order."""
    from inspections.forecasts import loading

    machines = [row[0] for row in owner.execute("SELECT id FROM fleet_machine")]
    names = list(loading.CLASSES)
    for query, values in (
        (loading.TRACKS_QUERY, (names, machines, names)),
        (loading.POINTS_QUERY, (machines,)),
    ):
        parts = query.split("%s")
        text = psycopg.sql.SQL(parts[0])
        for value, part in zip(values, parts[1:], strict=True):
            text += psycopg.sql.Literal(value) + psycopg.sql.SQL(part)
        _drain(owner, text)


def _drain(owner: Any, query: Any) -> Drained:
    statement = psycopg.sql.SQL("COPY ({}) TO STDOUT (FORMAT BINARY)").format(query)
    with owner.cursor() as cursor, cursor.copy(statement) as copy:
        return [bytes(block) for block in copy]


def _columns(owner: Any) -> Any:
    rows = owner.execute(
        "SELECT column_name FROM information_schema.columns "
        "WHERE table_name = 'inspections_forecast' AND column_name <> 'id' "
        "ORDER BY ordinal_position"
    )
    names = [psycopg.sql.Identifier(name) for (name,) in rows]
    return psycopg.sql.SQL(", ").join(names)


def _results(owner: Any) -> Any:
    return psycopg.sql.SQL(
        "SELECT {} FROM inspections_forecast WHERE current ORDER BY id"
    ).format(_columns(owner))


def _fill(owner: Any, prepared: Drained) -> None:
    """Copy the prepared rows into the table of forecasts and commit."""
    statement = psycopg.sql.SQL(
        "COPY inspections_forecast ({}) FROM STDIN (FORMAT BINARY)"
    ).format(_columns(owner))
    with owner.cursor() as cursor, cursor.copy(statement) as copy:
        for block in prepared:
            copy.write(block)
    # the foreign keys are checked when the statement's own transaction ends


def _empty(owner: Any) -> None:
    """Take all forecasts away, and what names them."""
    for table, column in REFERRING:
        owner.execute(f"UPDATE {table} SET {column} = NULL WHERE {column} IS NOT NULL")
        owner.execute(f"VACUUM ANALYZE {table}")
    owner.execute("DELETE FROM inspections_forecast")
    owner.execute("VACUUM ANALYZE inspections_forecast")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--series", type=int, default=SERIES)
    parser.add_argument("--repeats", type=int, default=REPEATS)
    chosen = running.arguments(parser, series=QUICK_SERIES, repeats=1)
    running.in_database(
        lambda: measure(series=chosen.series, repeats=chosen.repeats),
        tell=lambda found: running.tell(found, as_json=chosen.json, width=36, indent=1),
    )


if __name__ == "__main__":
    main()
