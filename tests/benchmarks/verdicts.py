"""Does knowing less, or something worse, make a machine look better?
``python -m tests.benchmarks.verdicts``

Machines of every form, family and completeness live through the service in a database,
each beside twins of which one thing is worse or not known. A history is one twin beside
its machine. Run from the project's folder; the embedded database of the tests is used.
"""

import argparse
import sys
from collections import Counter
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

HISTORIES, STEPS = 2_000, 6
# Lives in one transaction: enough to share the queries, few enough for their plans.
TOGETHER = 12
HEALTHY = 240
SHOWN = 200


def measure(
    *, histories: int, steps: int, seed: int, healthy: int, faults: bool
) -> dict[str, Any]:
    """Return what was violated, what is decided of healthy machines, what is caught."""
    from tests.histories import known, lives

    found, made, lived = [], 0, 0
    lives_wanted = -(-histories // lives.TWINS)
    for number, start in enumerate(range(0, lives_wanted, TOGETHER)):
        count = min(TOGETHER, lives_wanted - start)
        violations, done = _lived(seed + number, count=count, steps=steps)
        found += violations
        made += done
        lived += count * lives.TWINS
        sys.stderr.write(f"{lived} histories, {len(found)} violations\n")
    figures: dict[str, Any] = {
        "histories": lived,
        "steps": made,
        "violations": len(found),
        "known": dict(Counter(filter(None, map(known.name_of, found)))),
        "by_promise": dict(Counter(each.promise for each in found)),
        "violated": [str(each) for each in found[:SHOWN]],
    }
    figures |= _healthy(seed, healthy)
    if faults:
        figures |= _caught()
    return figures


def _lived(seed: int, *, count: int, steps: int) -> tuple[list[Any], int]:
    """Return the violations of some lives and the steps made; nothing is kept."""
    from tests.histories import estate

    found: list[Any] = []
    with estate.undone():
        lived = estate.live(seed=seed, count=count, steps=steps, told=found.append)
    return found, lived.steps


def _caught() -> dict[str, Any]:
    """Return how many of the faults that are put back the histories tell."""
    from tests.histories import mutants

    caught = mutants.caught()
    return {
        "mutants": len(caught),
        "mutants_caught": sum(caught.values()),
        "not_caught": [name for name, was in caught.items() if not was],
    }


def _healthy(seed: int, count: int) -> dict[str, Any]:
    """Return how many healthy machines are decided within, by what is not known."""
    from tests.histories import healthy

    return healthy.shares(seed=seed, count=count)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--histories", type=int, default=HISTORIES)
    parser.add_argument("--steps", type=int, default=STEPS)
    parser.add_argument("--healthy", type=int, default=HEALTHY)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--no-mutants", action="store_true", help="put no known faults back"
    )
    given = parser.parse_args()

    running.in_database(
        lambda: measure(
            histories=given.histories,
            steps=given.steps,
            seed=given.seed,
            healthy=given.healthy,
            faults=not given.no_mutants,
        ),
        tell=lambda figures: running.tell(figures, as_json=given.json, width=24),
    )


if __name__ == "__main__":
    main()
