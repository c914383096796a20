"""How long does it take to fill a database? ``python -m tests.benchmarks.filling``

Machines with six ropes and three visits each, stored in one transaction as an import
stores them, the foreign keys checked and the tables counted at its end, then their
readings. Twice as many machines should take twice as long. Run from the project's
folder; the embedded database of the tests is used.
"""

import argparse
from time import perf_counter

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

MACHINES = 1_000


def measure(*, machines: int) -> running.Figures:
    """Return seconds for a tenth of the machines, then for all, and their growth."""
    from tests.benchmarks import assessed_fleet

    some = max(machines // 10, 1)
    took = []
    for count, code in ((some, "some"), (machines, "all")):
        begun = perf_counter()
        assessed_fleet.make(machines=count, code=code)
        took.append(perf_counter() - begun)
    first, whole = took
    return {
        "machines": machines,
        "seconds_for_a_tenth": round(first, 2),
        "seconds": round(whole, 2),
        "growth": round(whole / machines / (first / some), 2),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--machines", type=int, default=MACHINES)
    given = running.arguments(parser, machines=100)

    running.in_database(
        lambda: measure(machines=given.machines),
        tell=lambda found: running.tell(found, as_json=given.json, width=24),
    )


if __name__ == "__main__":
    main()
