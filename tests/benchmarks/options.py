"""How long from rows to options, and to a page of what is due?

``python -m tests.benchmarks.options --json``

Machines are assessed and forecast first, unmeasured. Measured are the worker's jobs
that work the options out, chunk after chunk as the night writes them, and a page of the
portfolio's list over HTTP beside the plain SQL that gives the same rows. Run from the
project's folder; the embedded database of the tests is used.
"""

import argparse
import gc
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

# More than these, as 10,000 after 1,000, take longer than five minutes.
MACHINES, FEW = 2_000, 200
LINES, FEW_LINES = 10_000, 100
PAGE = 50
PAGES = 40
PAGE_SQL = """
SELECT d.id, d.machine_id, d.building_id, d.owner_id, d.planned_work_id, d.state,
       d.kind, d.window_from_on, d.due_before_on, d.order_by_on, d.risk, d.grade,
       d.out_of_service, d.reason, d.part, d.part_count, d.hoists, d.cost_low,
       d.cost_high, d.currency, m.code, m.name, b.name
FROM inspections_duework d
JOIN fleet_machine m ON m.id = d.machine_id
JOIN fleet_building b ON b.id = d.building_id
WHERE d.contractor_id = %s
ORDER BY d.rank_on, d.id
LIMIT %s
"""


def measure(*, machines: int, few: int, lines: int, few_lines: int) -> dict[str, Any]:
    """Return the figures of options and of the list."""
    from tests.benchmarks import assessed_fleet

    small = assessed_fleet.make(machines=few, code="few")
    large = assessed_fleet.make(machines=machines, code="many")
    for contractor in (small, large):
        _prepare(contractor.pk)
    running.tidy()
    # Once unmeasured, so that neither pays for what is loaded at first.
    _night(small.pk, assessed_fleet.AS_OF)
    next_day = assessed_fleet.AS_OF + timedelta(days=1)
    few_s, many_s = _night(small.pk, next_day), _night(large.pk, next_day)
    figures: dict[str, Any] = {
        "machines": machines,
        "few": few,
        "seconds": round(many_s, 3),
        "ms_per_machine": round(1000.0 * many_s / machines, 3),
        "growth": round(many_s / machines / (few_s / few), 3),
    }
    return figures | _list_figures(small, large, lines=lines, few_lines=few_lines)


def _prepare(contractor_id: int) -> None:
    """Assess and forecast every machine of a contractor."""
    from fleet.models import Machine
    from fleet.platform.database.tenancy import Scope, acting_for
    from inspections import assessment, forecasts
    from tests.benchmarks.assessed_fleet import AS_OF

    scope = Scope(contractor_id=contractor_id)
    with acting_for(contractor_id=contractor_id):
        ids = list(Machine.objects.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(ids), 500):
        some = ids[start : start + 500]
        for act in (assessment.assess, forecasts.project):
            with acting_for(contractor_id=contractor_id):
                act(scope=scope, machine_ids=some, as_of=AS_OF)


def _night(contractor_id: int, at: Any) -> float:
    """Return how long the worker takes for every chunk of a contractor [s]."""
    from fleet.models import Job
    from fleet.platform.database.tenancy import Scope, acting_for
    from fleet.platform.queue import jobs
    from inspections import options

    def activity(job: Job) -> None:
        options.recompute_chunk(
            scope=Scope(contractor_id=contractor_id),
            first_id=job.subject_id or 0,
            as_of=at,
        )

    with acting_for(contractor_id=contractor_id) as scope:
        ids = options.order_all(scope=scope, now=at)
    gc.collect()
    begun = time.perf_counter()
    for job_id in ids:
        done = jobs.perform(job_id=job_id, activity=activity, clock=lambda: at)
        assert done, f"job {job_id} was not done"
    return time.perf_counter() - begun


# --- the list -------------------------------------------------------------------------
def _list_figures(
    small: Any, large: Any, *, lines: int, few_lines: int
) -> dict[str, Any]:
    """Return queries, database time and growth of a page of the list."""
    _fill(small, few_lines)
    _fill(large, lines)
    running.tidy()
    few = _Pages(small)
    many = _Pages(large)
    for pages in (few, many):
        pages.read()
    # In turns, and the best of each counts: what else the computer does meets both.
    for _ in range(PAGES):
        few.read()
        many.read()
    return {
        "lines": lines,
        "few_lines": few_lines,
        "page_ms": round(1000.0 * min(many.whole_s), 3),
        "page_queries": many.queries,
        "page_queries_few": few.queries,
        "worklist_database_ratio": round(min(many.database_s) / min(many.plain_s), 3),
        "worklist_growth": round(min(many.whole_s) / min(few.whole_s), 3),
    }


class _Pages:
    """Reads of the first page over HTTP, and of the same rows by plain SQL."""

    def __init__(self, contractor: Any) -> None:
        self.contractor = contractor
        self.headers = {"Authorization": f"Bearer {_token(contractor)}"}
        self.whole_s: list[float] = []
        self.database_s: list[float] = []
        self.plain_s: list[float] = []
        self.queries = 0

    def read(self) -> None:
        """Read the page once by each way."""
        from django.test import Client

        with timed_queries() as spent:
            begun = time.perf_counter()
            answer = Client().get(
                f"/api/v1/due-works?page_size={PAGE}", headers=self.headers
            )
            self.whole_s.append(time.perf_counter() - begun)
        assert answer.status_code == 200, answer.content[:300]
        found = [row["id"] for row in answer.json()["results"]]
        self.queries = len(spent)
        of_list = [s for sql, s in spent if "inspections_duework" in sql]
        self.database_s.append(sum(of_list))
        self.plain_s.append(self._plain(found))

    def _plain(self, expected: list[int]) -> float:
        """Return how long the same rows take by plain SQL, fetched [s]."""
        from django.db import connection

        from fleet.platform.database.tenancy import acting_for

        with (
            acting_for(contractor_id=self.contractor.pk),
            timed_queries() as spent,
            connection.cursor() as cursor,
        ):
            cursor.execute(PAGE_SQL, [self.contractor.pk, PAGE + 1])
            rows = cursor.fetchall()
        assert [row[0] for row in rows][:PAGE] == expected
        return sum(s for _, s in spent)


@contextmanager
def timed_queries() -> Iterator[list[tuple[str, float]]]:
    """Write down every query of the block with the time that the database took."""
    from django.db import connection

    spent: list[tuple[str, float]] = []

    def wrapper(
        execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any
    ) -> Any:
        begun = time.perf_counter()
        try:
            return execute(sql, params, many, context)
        finally:
            spent.append((sql, time.perf_counter() - begun))

    with connection.execute_wrapper(wrapper):
        yield spent


def _token(contractor: Any) -> str:
    from django.utils import timezone

    from fleet.models import Membership, Person
    from fleet.platform.access import tokens

    person = Person.objects.create(username=f"office-{contractor.code}")
    membership = Membership.objects.create(
        person=person, contractor=contractor, role="OFFICE"
    )
    return tokens.issue(
        membership=membership,
        device="benchmark",
        scopes=["READ"],
        issued_at=timezone.now() - timedelta(minutes=1),
    )


def _fill(contractor: Any, count: int) -> None:
    """Give a contractor this many lines, whatever the options had proposed."""
    from fleet.models import Machine
    from fleet.platform.database.tenancy import acting_for
    from inspections.models import DueWork

    with acting_for(contractor_id=contractor.pk):
        machines = list(Machine.objects.select_related("building")[:count])
        DueWork.objects.all().delete()
        DueWork.objects.bulk_create(
            (
                _line(contractor, machines[number % len(machines)], number)
                for number in range(count)
            ),
            batch_size=2000,
        )


def _line(contractor: Any, machine: Any, number: int) -> Any:
    from inspections.models import DueWork

    due = date(2026, 4, 1) + timedelta(days=(number * 7919) % 3650)
    return DueWork(
        contractor=contractor,
        machine=machine,
        building_id=machine.building_id,
        owner_id=machine.building.owner_id,
        state="PROPOSED",
        kind="RE_ROPE",
        due_before_on=due,
        order_by_on=due - timedelta(days=60),
        rank_on=due,
        risk=(number % 100) / 100.0,
        grade="PLAN_WORK",
        reason="the ropes are near their limit",
        part=f"rope {8 + number % 9} mm, 8x19",
        part_count=6,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--few", type=int, default=FEW)
    parser.add_argument("--lines", type=int, default=LINES)
    parser.add_argument("--few-lines", type=int, default=FEW_LINES)
    given = running.arguments(parser, machines=40, few=20, lines=200, few_lines=100)

    running.in_database(
        lambda: measure(
            machines=given.machines,
            few=given.few,
            lines=given.lines,
            few_lines=given.few_lines,
        ),
        tell=lambda figures: running.tell(figures, as_json=given.json, width=24),
    )


if __name__ == "__main__":
    main()
