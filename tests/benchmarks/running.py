"""What every benchmark with a database does round its measurement.

Imported after ``tests.environment``; Django is set up when a database is asked for.
"""

import argparse
import json
import sys
from collections.abc import Callable
from typing import Any

Figures = dict[str, Any]
# What each `--help` ends with.
QUIET = (
    "Which figures need a quiet machine: seconds and milliseconds, what is done in a "
    "second, growth, and ratios of database times or to the kernel. Counts (lost, "
    "doubled, violations, queries, strokes, violations of accessibility, sizes) and "
    "shares do not."
)


def arguments(parser: argparse.ArgumentParser, **quick: object) -> argparse.Namespace:
    """Return what was asked for; ``--quick`` puts sizes in place of the whole ones."""
    parser.epilog = QUIET
    parser.add_argument(
        "--quick", action="store_true", help="small sizes: does it work? no figure"
    )
    given = parser.parse_args()
    if given.quick:
        vars(given).update(quick)
    return given


def in_database(
    measure: Callable[[], Figures], *, tell: Callable[[Figures], object]
) -> None:
    """Measure on a server and a database made for it, tell, and take both away."""
    import django

    django.setup()
    from tests import database

    with database.server():
        on_new_database(measure, tell=tell)


def on_new_database(
    measure: Callable[[], Figures], *, tell: Callable[[Figures], object]
) -> None:
    """Measure on a database made for it on the running server.

    The figures are told before anything is taken down: whatever fails then, what took
    minutes to measure is not lost.
    """
    from tests import database

    database.create()
    try:
        tell(measure())
        sys.stdout.flush()
    finally:
        database.drop()


def tidy() -> None:
    """Let the planner know the tables, as it does on a database that has lived."""
    from django.db import connections

    with connections["owner"].cursor() as cursor:
        cursor.execute("ANALYZE")


def tell(
    figures: Figures, *, as_json: bool, width: int, indent: int | None = None
) -> None:
    """Print figures, as one JSON object or a line each."""
    if as_json:
        sys.stdout.write(json.dumps(figures, indent=indent) + "\n")
        return
    for name, value in figures.items():
        sys.stdout.write(f"{name:{width}} {value}\n")
