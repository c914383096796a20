"""A process of its own that compares notes with the database, and believes nobody.

`python -m tests.rehearsals.judge DATABASE_URL LEDGER [MINUTE]` prints one JSON object:
how many readings were acknowledged (before the minute), how many of them are `lost`,
how many are stored more than once (`doubled`), how many are there that were first sent
after the minute (`later`), and what became of jobs.
"""

import json
import sys
from collections import Counter
from datetime import datetime
from pathlib import Path

import psycopg

from tests.rehearsals import ledger

READINGS = "SELECT contractor_id, reference FROM inspections_reading"
JOBS = "SELECT state, count(*) FROM fleet_job GROUP BY state"
VISITS = "SELECT count(*) - count(DISTINCT reference) FROM inspections_visit"


def judge(*, url: str, notes: Path, minute: datetime | None) -> dict[str, object]:
    """Return what the database has of what was acknowledged."""
    with psycopg.connect(url) as connection:
        stored = Counter(connection.execute(READINGS).fetchall())
        jobs = dict(connection.execute(JOBS).fetchall())
        [(visits,)] = connection.execute(VISITS).fetchall()
    there = {reference for _, reference in stored}
    lines = list(ledger.read(notes))
    due = {
        reference
        for line in lines
        if line.told and (minute is None or line.told <= minute)
        for reference in line.references
    }
    late = {
        reference
        for line in lines
        if minute is not None and line.sent > minute
        for reference in line.references
    }
    return {
        "acknowledged": len(due),
        "stored": sum(stored.values()),
        "lost": len(due - there),
        "doubled": sum(count - 1 for count in stored.values()) + visits,
        "later": len(late & there),
        "jobs": jobs,
    }


if __name__ == "__main__":
    address, path, *until = sys.argv[1:]
    instant = datetime.fromisoformat(until[0]) if until else None
    print(json.dumps(judge(url=address, notes=Path(path), minute=instant)))
