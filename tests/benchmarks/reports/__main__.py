"""How long from content to bytes? ``python -m tests.benchmarks.reports --json``

The yardstick is a bare document of the same run with the same number of pages, tables
and figure elements, and the same text in them. Composing reads a database with many
machines; plans that are due at once go over two real workers to a real mail server,
once undisturbed and once with a worker killed. Run from the project's folder; embedded
databases are used.
"""

import argparse
import logging
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

# `--machines 1000 --plans 100` takes six minutes, `--machines 10000` much longer.
MACHINES, PLANS = 500, 50


def measure(*, machines: int, plans: int) -> dict[str, Any]:
    """Return the figures of drawing, composing and posting."""
    from tests.benchmarks.reports import composing, drawing, posting

    figures: dict[str, Any] = {}
    if machines:
        figures, frozen = composing.measure(machines=machines)
        figures |= drawing.measure(frozen=frozen)
    if plans:
        figures |= posting.measure(plans=plans, kills=False)
        killed = posting.measure(plans=plans, kills=True)
        figures |= {f"{name}_when_killed": value for name, value in killed.items()}
    return figures


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--plans", type=int, default=PLANS, help="0 leaves them out")
    given = running.arguments(parser, machines=50, plans=4)

    # each mail is logged
    logging.getLogger("mail.log").setLevel(logging.WARNING)
    running.in_database(
        lambda: measure(machines=given.machines, plans=given.plans),
        tell=lambda figures: running.tell(figures, as_json=given.json, width=44),
    )


if __name__ == "__main__":
    main()
