"""What does a tried change cost? ``python -m tests.benchmarks.scenarios``

One machine at a time, several with six ropes and three visits: a scenario from what is
asked to its answer as JSON, its rows loaded for it, and a window of some two thousand
cuts, each over one assessment of such a machine, from rows to stored findings.
"""

import argparse
import gc
import statistics
import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

MACHINES = 12
CHANGES = {"undercut_angle_deg": 90.0, "cut_depth_mm": 1.6}


def measure(*, machines: int) -> dict[str, Any]:
    """Return the medians over the machines, and what stands over what."""
    from django.db import transaction

    from fleet.models import Machine
    from fleet.platform.database.tenancy import Scope, acting_for, confine
    from inspections import assessment
    from inspections.scenarios import answering, keeping, window
    from inspections.scenarios.window_given import AskedWindow
    from tests.benchmarks import assessed_fleet

    contractor = assessed_fleet.make(machines=2 * machines)
    scope = Scope(contractor_id=contractor.pk)
    running.tidy()
    at = assessed_fleet.AS_OF

    def within(act: Callable[[], Any]) -> float:
        gc.collect()
        begun = time.perf_counter()
        with acting_for(contractor_id=contractor.pk), transaction.atomic():
            act()
        return time.perf_counter() - begun

    def assess(pk: int) -> None:
        assessment.assess(scope=scope, machine_ids=[pk], as_of=at)

    def scenario(pk: int) -> None:
        keeping.work_out(scope=scope, machine_id=pk, changes=CHANGES, now=at)

    looked: list[int] = []

    def look(pk: int) -> None:
        snapshot = keeping.snapshot_of(scope=scope, machine_id=pk, now=at)
        answer = answering.of_window(
            window.look(snapshot, AskedWindow(to_depth_mm=2.0))
        )
        looked.append(answer["looked_at"])

    with transaction.atomic():
        confine(contractor_id=contractor.pk)
        rows = Machine.objects.within(scope).order_by("pk")
        # Undercut grooves alone: what is tried is an angle of theirs.
        ids = [
            pk
            for n, pk in enumerate(rows.values_list("pk", flat=True))
            if n % assessed_fleet.V_EVERY
        ]
    first, rest = ids[0], ids[1 : machines + 1]
    for act in (assess, scenario, look):
        within(lambda act=act: act(first))  # type: ignore[misc]
    at += timedelta(days=1)
    assessed, tried, seen = [], [], []
    for pk in rest:
        assessed.append(within(lambda pk=pk: assess(pk)))  # type: ignore[misc]
        tried.append(within(lambda pk=pk: scenario(pk)))  # type: ignore[misc]
        seen.append(within(lambda pk=pk: look(pk)))  # type: ignore[misc]
    one = statistics.median(assessed)
    return {
        "machines": len(rest),
        "assessment_ms": round(1000.0 * one, 1),
        "scenario_ms": round(1000.0 * statistics.median(tried), 1),
        "window_ms": round(1000.0 * statistics.median(seen), 1),
        "window_points": min(looked),
        "ratio_to_assessment": round(statistics.median(tried) / one, 2),
        "window_ratio": round(statistics.median(seen) / one, 2),
    }


def main() -> None:
    """Measure and print, as one JSON object or a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--machines", type=int, default=MACHINES)
    given = running.arguments(parser, machines=3)
    running.in_database(
        lambda: measure(machines=given.machines),
        tell=lambda figures: running.tell(figures, as_json=given.json, width=22),
    )


if __name__ == "__main__":
    main()
