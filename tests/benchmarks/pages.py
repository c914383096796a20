"""How long do pages take beside plain SQL, and what do people find wrong with them?

``python -m tests.benchmarks.pages --json``

A few machines are assessed, forecast and given options first, unmeasured; readings are
repeated, and the machines with all their rows copied to the number asked for. Measured
are the portfolio's first page as a browser's session asks for it, beside the plain SQL
of `portfolio_sql` that gives the same rows, from the stored states (the ratio) and from
what they rest on; the queries of a machine's page; what a first page loads in all; and
what axe-core finds on every page of `tests.browser.seen`, on a desk and on a telephone
(with `--quick` on a desk alone).
Run from the project's folder; the embedded database of the tests is used, and the
system's Chromium.
"""

import argparse
import os
import re
import time
from pathlib import Path
from typing import Any

from tests import environment  # the environment comes first
from tests.benchmarks import copied_rows, portfolio_sql, running

MACHINES, FEW, READINGS = 10_000, 100, 5_000_000
QUICK_MACHINES, QUICK_FEW, QUICK_READINGS = 80, 20, 12_000
ROUNDS = 20
PARTS = ("portfolio", "looks")


def measure(*, machines: int, few: int, readings: int) -> dict[str, Any]:
    """Return the figures of pages."""
    from inspections import overview
    from tests.benchmarks import assessed_fleet

    small, large = (assessed_fleet.make(machines=few, code=c) for c in ("few", "many"))
    for contractor in (small, large):
        _prepare(contractor)
        each = _multiply(contractor, readings * few // machines)
        _refresh(contractor)
    copies = machines // few - 1
    _copy(large, copies)
    few_pages, many_pages = _Pages(small), _Pages(large)
    for pages in (few_pages, many_pages):
        pages.read()
        pages.forget()
    # In turns, and the best of each counts: what else the computer does meets both.
    for _ in range(ROUNDS):
        few_pages.read()
        many_pages.read()
    return {
        "machines": few * (1 + copies),
        "few": few,
        "readings": each * (1 + copies),
        "portfolio_ms": round(1000.0 * min(many_pages.whole_s), 2),
        "portfolio_database_ms": round(1000.0 * min(many_pages.database_s), 2),
        "plain_sql_ms": round(1000.0 * min(many_pages.plain_s), 2),
        "worked_out_sql_ms": round(1000.0 * min(many_pages.worked_out_s), 2),
        "portfolio_database_ratio": round(
            min(many_pages.database_s) / min(many_pages.plain_s), 3
        ),
        # A page that is not full says nothing of one that is.
        "portfolio_growth": round(min(many_pages.whole_s) / min(few_pages.whole_s), 3)
        if few >= overview.MOST_ON_A_PAGE
        else None,
        "portfolio_queries": many_pages.queries,
        "portfolio_queries_few": few_pages.queries,
        "machine_queries": many_pages.machine_queries(),
        "machine_queries_few": few_pages.machine_queries(),
    }


def looked_at(*, phones: bool) -> dict[str, Any]:
    """Return what a first page loads, and what axe-core finds on every page."""
    import pytest

    from tests.browser import measuring

    with pytest.MonkeyPatch.context() as patch:
        return measuring.figures(patch, phones=phones)


def _prepare(contractor: Any) -> None:
    """Assess, forecast and work out options for every machine of a contractor."""
    from fleet.models import Machine
    from fleet.platform.database.tenancy import Scope, acting_for
    from inspections import assessment, forecasts, options
    from tests.benchmarks.assessed_fleet import AS_OF

    scope = Scope(contractor_id=contractor.pk)
    with acting_for(contractor_id=contractor.pk):
        ids = list(Machine.objects.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(ids), 500):
        some = ids[start : start + 500]
        for act in (assessment.assess, forecasts.project, options.recompute):
            with acting_for(contractor_id=contractor.pk):
                act(scope=scope, machine_ids=some, as_of=AS_OF)


# Parents before their children; every table whose rows multiply with machines.
_TABLES = (
    "fleet_machine",
    "fleet_sheave",
    "fleet_sheavegeometry",
    "fleet_groove",
    "fleet_ropeset",
    "fleet_rope",
    "fleet_ropeingroove",
    "inspections_visit",
    "inspections_assessment",
    "inspections_finding",
    "inspections_stop",
    "inspections_wearlimit",
    "inspections_weartrack",
    "inspections_trackpoint",
    "inspections_forecast",
    "inspections_optionset",
    "inspections_duework",
    "inspections_reading",
    "inspections_machinestate",
)


def _copy(contractor: Any, copies: int) -> None:
    """Write a contractor's machines again, with everything that is known of them."""
    import psycopg
    from django.db import connections

    from fleet import embedded

    name = str(connections["owner"].settings_dict["NAME"])
    server = embedded.Server(directory=Path(os.environ[environment.EMBEDDED]))
    administrator_url = server.url(role="admin", database=name)
    with psycopg.connect(administrator_url) as administrator:
        copied_rows.Copying(
            administrator=administrator,
            contractor_id=contractor.pk,
            first_id=1_000_000_000,
            tables=_TABLES,
        ).run(copies=copies)
    copied_rows.tidy(administrator_url=administrator_url, tables=_TABLES)


def _refresh(contractor: Any) -> None:
    """Work the states out as of today, as the night does."""
    from django.utils import timezone

    from fleet.platform.database.tenancy import acting_for
    from inspections import states

    with acting_for(contractor_id=contractor.pk) as scope:
        states.refresh(scope=scope, today=timezone.localdate())


def _multiply(contractor: Any, wanted: int) -> int:
    """Repeat the readings at earlier days up to a number; return how many there are."""
    import psycopg

    own = {"contractor": contractor.pk}
    with psycopg.connect(os.environ["DATABASE_OWNER_URL"], autocommit=True) as owner:
        names = [
            name
            for (name,) in owner.execute(
                "SELECT column_name FROM information_schema.columns WHERE "
                "table_name = 'inspections_reading' AND column_name <> 'id' "
                "AND table_schema = 'public' ORDER BY ordinal_position"
            )
        ]
        [(have,)] = owner.execute(
            "SELECT count(*) FROM inspections_reading WHERE contractor_id "
            "= %(contractor)s",
            own,
        )
        total = have
        for number in range(1, max(wanted // max(have, 1), 1)):
            changed = {
                # Not as copies are named, or two would be called the same.
                "reference": f"left(r.reference, 50) || '-again{number}'",
                "taken_at": f"r.taken_at - interval '{number} days' * 400",
            }
            values = [changed.get(name, f"r.{name}") for name in names]
            statement = portfolio_sql.MULTIPLY.format(
                columns=", ".join(names), values=", ".join(values)
            )
            # Of those that were there at first only, or they would double each time.
            statement += f" AND r.id <= {_last_id(owner, contractor, have)}"
            total += owner.execute(statement, own).rowcount
    return int(total)


def _last_id(owner: Any, contractor: Any, have: int) -> int:
    [(last,)] = owner.execute(
        "SELECT max(id) FROM (SELECT id FROM inspections_reading WHERE "
        "contractor_id = %s ORDER BY id LIMIT %s) first",
        [contractor.pk, have],
    )
    return int(last)


class _Pages:
    """Reads of the portfolio as its office, and of the same rows by plain SQL."""

    def __init__(self, contractor: Any) -> None:
        from django.test import Client

        from fleet.models import Membership, Person

        person = Person.objects.create(username=f"office-{contractor.code}")
        Membership.objects.create(person=person, contractor=contractor, role="OFFICE")
        self.contractor = contractor
        self.browser = Client()
        self.browser.force_login(person)
        self.forget()

    def forget(self) -> None:
        """Forget what was measured so far."""
        self.whole_s: list[float] = []
        self.database_s: list[float] = []
        self.plain_s: list[float] = []
        self.worked_out_s: list[float] = []
        self.queries = 0
        self.first: int | None = None

    def read(self) -> None:
        """Read the page once by each way; both must give the same rows."""
        from tests.benchmarks.options import timed_queries

        with timed_queries() as spent:
            begun = time.perf_counter()
            answer = self.browser.get("/portfolio")
            self.whole_s.append(time.perf_counter() - begun)
        assert answer.status_code == 200, answer.content[:300]
        self.queries = len(spent)
        of_page = [s for sql, s in spent if "inspections_" in sql]
        self.database_s.append(sum(of_page))
        text = answer.content.decode()
        shown = re.findall(r'<td data-label="Machine">.*?/machines/(\d+)"', text, re.S)
        self._plain([int(pk) for pk in shown])

    def _plain(self, shown: list[int]) -> None:
        from django.db import connection
        from django.utils import timezone

        from fleet.platform.database.tenancy import acting_for
        from inspections.condition import PLAN_AHEAD
        from tests.benchmarks.options import timed_queries

        asked = {
            "contractor": self.contractor.pk,
            "near": timezone.localdate() + PLAN_AHEAD,
        }
        with (
            acting_for(contractor_id=self.contractor.pk),
            timed_queries() as spent,
            connection.cursor() as cursor,
        ):
            cursor.execute(portfolio_sql.LINES, asked)
            rows = cursor.fetchall()
            cursor.execute(portfolio_sql.COUNTS, asked)
            counts = cursor.fetchall()
            anew = len(spent)
            cursor.execute(portfolio_sql.STORED_LINES, asked)
            stored_rows = cursor.fetchall()
            cursor.execute(portfolio_sql.STORED_COUNTS, asked)
            stored_counts = cursor.fetchall()
        assert shown
        assert rows == [row[: portfolio_sql.OF_LINES] for row in stored_rows]
        assert sorted(counts) == sorted(row[:2] for row in stored_counts)
        assert [row[0] for row in rows][:50] == shown
        self.first = rows[0][0]
        self.worked_out_s.append(sum(s for _, s in spent[:anew]))
        self.plain_s.append(sum(s for _, s in spent[anew:]))
        self._compare(stored_rows)

    def _compare(self, rows: list[Any]) -> None:
        """Fail where plain SQL and the page's own query say other things."""
        from django.utils import timezone

        from fleet.platform.database.tenancy import acting_for
        from inspections import overview

        with acting_for(contractor_id=self.contractor.pk) as scope:
            found = overview.lines(
                scope=scope, wish=overview.Wish(), today=timezone.localdate()
            )
        for row, line in zip(rows, found.lines, strict=False):
            assert row[5] == (line.says_most.pk if line.says_most else None)
            assert row[14] == (line.first.plan_before_on if line.first else None)
            assert row[15] == line.last_read_at
            assert row[16] == (line.due.pk if line.due else None)
            stop = line.stops[0].pk if line.stops else None
            assert row[portfolio_sql.OF_STOP] == stop

    def machine_queries(self) -> int:
        """Return how many queries the page of the first machine takes."""
        from tests.benchmarks.options import timed_queries

        # The first request of a process fills caches of its own.
        self.browser.get(f"/machines/{self.first}")
        with timed_queries() as spent:
            answer = self.browser.get(f"/machines/{self.first}")
        assert answer.status_code == 200
        return len(spent)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, epilog=running.QUIET)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument(
        "--quick", action="store_true", help="a small portfolio, and no phone"
    )
    parser.add_argument(
        "--part",
        choices=sorted(PARTS),
        action="append",
        help="the portfolio beside plain SQL, or what a browser finds; else both",
    )
    parser.add_argument("--machines", type=int)
    parser.add_argument("--few", type=int)
    parser.add_argument("--readings", type=int)
    given = parser.parse_args()
    machines = given.machines or (QUICK_MACHINES if given.quick else MACHINES)
    few = given.few or (QUICK_FEW if given.quick else FEW)
    readings = given.readings or (QUICK_READINGS if given.quick else READINGS)
    parts = given.part or sorted(PARTS)

    def figures() -> dict[str, Any]:
        found: dict[str, Any] = {}
        if "portfolio" in parts:
            found |= measure(machines=machines, few=few, readings=readings)
        if "looks" in parts:
            found |= looked_at(phones=not given.quick)
        return found

    running.in_database(
        figures,
        tell=lambda figures: running.tell(figures, as_json=given.json, width=26),
    )


if __name__ == "__main__":
    main()
