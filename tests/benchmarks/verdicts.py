"""Does knowing less, or something worse, make a machine look better?
``python -m tests.benchmarks.verdicts``

Machines of every form, family and completeness live through the service in a database,
each beside twins of which one thing is worse or not known. A history is one twin beside
its machine. Run from the project's folder; each process has an embedded database of its
own, as the tests have.
"""

import argparse
import json
import os
import subprocess
import sys
import time
from collections import Counter
from dataclasses import replace
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

# 2,000 and the mutants take half an hour: `.ci/long histories`.
HISTORIES, STEPS = 360, 6
# Lives in one transaction: enough to share the queries, few enough for their plans.
TOGETHER = 12
HEALTHY = 240
SHOWN = 200
PARTS = ("histories", "healthy", "mutants")
Figures = dict[str, Any]
Given = argparse.Namespace


def measure(given: Given) -> Figures:
    """Return the figures of the parts that are asked for."""
    figures: Figures = {}
    if "histories" in given.part:
        figures |= _histories(given)
    if "healthy" in given.part:
        figures |= _healthy(given.seed, given.healthy)
    if "mutants" in given.part:
        figures |= _caught(given.share)
    return figures


def _histories(given: Given) -> Figures:
    """Return what was violated in this process's share of the histories."""
    from tests.histories import known, lives

    found, made, lived = [], 0, 0
    lives_wanted = -(-given.histories // lives.TWINS)
    starts = range(0, lives_wanted, TOGETHER)
    share, of = given.share
    for number, start in list(enumerate(starts))[share::of]:
        count = min(TOGETHER, lives_wanted - start)
        violations, done = _lived(
            given.seed + number, count=count, steps=given.steps, reads=given.reads
        )
        found += violations
        made += done
        lived += count * lives.TWINS
        sys.stderr.write(f"{lived} histories, {len(found)} violations\n")
    return {
        "histories": lived,
        "steps": made,
        "violations": len(found),
        "known": dict(Counter(filter(None, map(known.name_of, found)))),
        "by_promise": dict(Counter(each.promise for each in found)),
        "violated": [str(each) for each in found[:SHOWN]],
    }


def _lived(seed: int, *, count: int, steps: int, reads: str) -> tuple[list[Any], int]:
    """Return the violations of some lives and the steps made; nothing is kept."""
    from tests.histories import estate, further
    from tests.histories.lean import ANY, READING_MASSES

    found: list[Any] = []
    lean = READING_MASSES if reads == further.MASSES else replace(ANY, reads=reads)
    with estate.undone():
        lived = estate.live(
            seed=seed, count=count, steps=steps, told=found.append, lean=lean
        )
    return found, lived.steps


def _caught(share: tuple[int, int]) -> Figures:
    """Return how many of the faults that are put back the histories tell."""
    from tests.histories import mutants

    caught = {}
    for name in list(mutants.MUTANTS)[share[0] :: share[1]]:
        caught[name] = mutants.is_caught(mutants.MUTANTS[name])
        said = "caught" if caught[name] else "NOT caught"
        sys.stderr.write(f"{name}: {said}\n")
    return {
        "mutants": len(caught),
        "mutants_caught": sum(caught.values()),
        "not_caught": [name for name, was in caught.items() if not was],
    }


def _healthy(seed: int, count: int) -> Figures:
    """Return how many healthy machines are decided within, by what is not known."""
    from tests.histories import healthy

    return healthy.shares(seed=seed, count=count)


def _shared_out(given: Given) -> Figures:
    """Return the figures of several processes, each with a database of its own.

    The healthy machines are looked at by the first.
    """
    begun = time.monotonic()
    own = [sys.executable, "-m", "tests.benchmarks.verdicts", "--json"]
    for name in ("histories", "steps", "healthy", "seed", "reads"):
        own += [f"--{name}={getattr(given, name)}"]
    workers = []
    for share in range(given.jobs):
        parts = [p for p in given.part if p != "healthy" or share == 0]
        line = [*own, "--share", f"{share}/{given.jobs}", "--part", *parts]
        workers.append(subprocess.Popen(line, stdout=subprocess.PIPE))
    said = [each.communicate()[0] for each in workers]
    if any(each.returncode for each in workers):
        raise SystemExit("a process of the benchmark has failed")
    figures: Figures = {}
    for each in map(json.loads, said):
        figures = _added(figures, each)
    return figures | {"seconds": round(time.monotonic() - begun)}


def _added(figures: Figures, more: Figures) -> Figures:
    """Return two processes' figures as one: numbers, counts and lists are added."""
    found = dict(figures)
    for name, value in more.items():
        if name not in found:
            found[name] = value
        elif isinstance(value, dict):
            found[name] = dict(Counter(found[name]) + Counter(value))
        else:
            found[name] = found[name] + value
    return found


def _share(words: str) -> tuple[int, int]:
    share, _, of = words.partition("/")
    return int(share), int(of)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--histories", type=int, default=HISTORIES)
    parser.add_argument(
        "--reads", default="", help="what every life reads beside what all read"
    )
    parser.add_argument("--steps", type=int, default=STEPS)
    parser.add_argument("--healthy", type=int, default=HEALTHY)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--part",
        nargs="+",
        choices=PARTS,
        default=PARTS[:1],
        help="some of them, or all",
    )
    parser.add_argument(
        "--jobs", type=int, default=os.cpu_count() or 1, help="processes side by side"
    )
    parser.add_argument(
        "--share", type=_share, help="one of several shares, as 0/2: this process only"
    )
    given = running.arguments(
        parser, histories=6, steps=3, healthy=8, part=("histories",)
    )

    def tell(figures: Figures) -> None:
        running.tell(figures, as_json=given.json, width=24)

    if given.share is None and given.jobs > 1:
        tell(_shared_out(given))
        return
    given.share = given.share or (0, 1)
    running.in_database(lambda: measure(given), tell=tell)


if __name__ == "__main__":
    main()
