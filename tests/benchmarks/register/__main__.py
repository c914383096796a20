"""How fast does a register come in? ``python -m tests.benchmarks.register``

Machines with sheaves, grooves, sets of ropes and ropes in their grooves are sent to the
API as files, in pieces that a web process takes itself, to a contractor that has few
of anything; all its checks, histories and marks are on. The yardstick is COPY of the
same rows into the same tables by their owner. Then every statement of a few requests
for single machines is explained, on tables nobody has counted yet and on counted ones:
none may read the rows of a whole contractor for one. Run from the project's folder; the
server is started in a temporary folder. Seconds say something on a quiet machine only.
"""

import argparse
from time import perf_counter
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

MACHINES, FEW = 10_000, 1_000
QUICK_MACHINES, QUICK_FEW = 400, 100


def measure(*, machines: int, few: int) -> running.Figures:
    """Return what a row costs among few and among many, and what COPY takes for it."""
    from tests.benchmarks.register import copying, files, plans

    # The first that comes in meets programs that have compiled nothing yet.
    brought_in(files.cast("first"), few // 10)
    small = brought_in(files.cast("small"), few)
    cast = files.cast("large")
    large = brought_in(cast, machines)
    young = plans.reading_whole(cast, young=True)
    running.tidy()
    old = plans.reading_whole(cast, young=False)
    copied = copying.copy_again(cast.contractor)
    return {
        "machines": machines,
        "rows": large["rows"],
        "rows_per_second": round(large["rows"] / large["seconds"]),
        "growth": round(
            large["seconds"] / large["rows"] / (small["seconds"] / small["rows"]), 3
        ),
        "ratio_to_copy": round(copied["seconds"] / large["seconds"], 4),
        "import_s": round(large["seconds"], 2),
        "copy_s": round(copied["seconds"], 2),
        "copied_rows": copied["rows"],
        "lost": small["lost"] + large["lost"],
        "statements_explained": young.count + old.count,
        "reading_whole_when_young": list(young.names),
        "reading_whole_when_old": list(old.names),
    }


def brought_in(cast: Any, machines: int) -> dict[str, Any]:
    """Bring machines in; return rows, seconds, and how many rows are not there."""
    from tests.benchmarks.register import files

    wanted = files.stored(cast)
    before, seconds = sum(wanted.values()), 0.0
    for name, content, lines in files.pieces(machines):
        begun = perf_counter()
        files.bring_in(cast, name, content, lines)
        seconds += perf_counter() - begun
        wanted[name] += lines
        if name == "ropes":
            wanted[files.SEATS] += lines
    there = files.stored(cast)
    return {
        "rows": sum(there.values()) - before,
        "seconds": seconds,
        "lost": sum(count - there[name] for name, count in wanted.items()),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--few", type=int, default=FEW)
    parser.add_argument(
        "--quick", action="store_true", help="few machines: is it alive, no figure"
    )
    given = parser.parse_args()
    if given.quick:
        given.machines, given.few = QUICK_MACHINES, QUICK_FEW

    running.in_database(
        lambda: measure(machines=given.machines, few=given.few),
        tell=lambda found: running.tell(found, as_json=given.json, width=28),
    )


if __name__ == "__main__":
    main()
