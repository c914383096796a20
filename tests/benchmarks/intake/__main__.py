"""How fast readings come in, how lists stand it: ``python -m tests.benchmarks.intake``

Run from the project's folder. A PostgreSQL server of its own is started in a
temporary folder, durable as in production, and its database removed at the end.
Medians of alternating pairs; settings as shipped.
"""

import argparse
import os
import random
from pathlib import Path
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

PARTS = ("ratios", "technicians", "lists")
QUICK = {
    "pairs": 1,
    "readings": 500,
    "machines": 20,
    "technicians": 20,
    "large": 60,
    "small": 55,
}


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--json", action="store_true", help="print a JSON object for each part"
    )
    parser.add_argument("--parts", nargs="+", choices=PARTS, default=PARTS)
    parser.add_argument("--pairs", type=int, default=9)
    parser.add_argument("--readings", type=int, default=10_000, help="in one upload")
    parser.add_argument(
        "--machines", type=int, default=1000, help="under the ratios, 501 readings each"
    )
    parser.add_argument("--technicians", type=int, default=1000)
    parser.add_argument(
        "--large", type=int, default=10_000, help="machines under the lists"
    )
    parser.add_argument("--small", type=int, default=100, help="machines beside them")
    return running.arguments(parser, **QUICK)


def coming_in(given: argparse.Namespace, administrator_url: str) -> dict[str, Any]:
    """Return the figures of the door."""
    from tests.benchmarks.intake import memory, portfolio, ratios, technicians

    cast = portfolio.make(
        administrator_url=administrator_url, code="door", machines=given.machines
    )
    portfolio.tidy(administrator_url=administrator_url)
    codes = portfolio.codes(cast)
    bench = ratios.Bench(
        cast=cast, codes=codes, readings=given.readings, draw=random.Random(3)
    )
    found: dict[str, Any] = {"readings_before": given.machines * 501}
    if "ratios" in given.parts:
        owner_url = os.environ["DATABASE_OWNER_URL"]
        found["peak_memory_mb"] = memory.peak_memory_mb(bench)
        found |= ratios.to_copy(bench, owner_url=owner_url, pairs=given.pairs)
        found |= ratios.repeat_cost(bench, pairs=given.pairs)
        found |= ratios.to_plain_serializer(bench, pairs=given.pairs)
    if "technicians" in given.parts:
        found |= technicians.measure(cast, codes, technicians=given.technicians)
    return found


def standing_it(given: argparse.Namespace, administrator_url: str) -> dict[str, Any]:
    """Return the figures of the lists."""
    from tests.benchmarks.intake import lists, portfolio

    large, small = (
        portfolio.make(administrator_url=administrator_url, code=code, machines=count)
        for code, count in (("large", given.large), ("small", given.small))
    )
    portfolio.tidy(administrator_url=administrator_url)
    sizes = {"machines": given.large, "readings": given.large * 501}
    return {"portfolio": sizes, **lists.measure(large, small, pairs=given.pairs)}


def measure(given: argparse.Namespace) -> None:
    """Tell all figures that were asked for, each part on a new database."""
    from django.db import connections

    from fleet import embedded

    server = embedded.Server(directory=Path(os.environ[environment.EMBEDDED]))
    name = str(connections["owner"].settings_dict["NAME"])
    for parts, part in (
        (("ratios", "technicians"), coming_in),
        (("lists",), standing_it),
    ):
        if not set(parts) & set(given.parts):
            continue
        running.on_new_database(
            lambda part=part: part(given, server.url(role="admin", database=name)),
            tell=lambda figures: running.tell(
                {"pairs": given.pairs, **figures}, as_json=given.json, width=28
            ),
        )


def main() -> None:
    given = arguments()
    import django

    django.setup()
    import logging

    from fleet import embedded

    logging.disable(logging.WARNING)
    server = embedded.Server(directory=Path(os.environ[environment.EMBEDDED]))
    server.start()
    try:
        measure(given)
    finally:
        server.stop()


if __name__ == "__main__":
    main()
