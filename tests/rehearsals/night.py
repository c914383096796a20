"""A night of a large contractor, whose workers are killed again and again.

Machines with readings are stored; beat begins the night. Workers are killed each time
a further part of its jobs is done, then all is let end, and a second night follows that
nobody disturbs: it must find nothing to change. Fault 80.
"""

import json
import sys
import time
from argparse import ArgumentParser
from collections.abc import Sequence
from typing import Any

from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.rehearsals.service import PENDING, Service

MACHINES = 10_000
KILLS = 8
A_LOOK_S = 0.5
# A night takes a tenth of a second for each machine and process, and a start.
SECONDS_A_MACHINE = 2
START_S = 300
STORE = """
import json, os, sys
import django
django.setup()
os.environ["DATABASE_OWNER_URL"] = sys.argv[2]
from fleet.models import Contractor
from tests.benchmarks import assessed_fleet
# Only this contractor has a night.
Contractor.objects.update(nightly_due_at="2099-01-01T02:00Z")
print(json.dumps(assessed_fleet.make(machines=int(sys.argv[1]), code="night").pk))
"""
# A job that has lost two workers is given up with the third, as it should be.
MAY_KILL = """
SELECT count(*) = 0 FROM fleet_job WHERE state = 'RUNNING' AND workers_lost > 1
"""
DONE = "SELECT count(*) FROM fleet_job WHERE state = 'DONE'"
ASSESSED = """
SELECT count(*), count(DISTINCT (machine_id, inputs_digest)), count(DISTINCT machine_id)
FROM inspections_assessment
"""
TWICE = {
    "findings": """
SELECT count(*) - count(DISTINCT (machine_id, topic, place, criterion, rule, reason))
FROM inspections_finding WHERE current
""",
    "forecasts": """
SELECT count(*) - count(DISTINCT (machine_id, quantity, place))
FROM inspections_forecast WHERE current
""",
    "options": """
SELECT count(*) - count(DISTINCT machine_id) FROM inspections_optionset
""",
    "runs": """
SELECT abs(count(*) - 1) FROM inspections_forecastrun
WHERE state = 'DONE' AND cause = 'NIGHT'
""",
}
WITHOUT = {
    "assessment": """
SELECT count(*) FROM fleet_machine m WHERE contractor_id = {0}
AND NOT EXISTS (SELECT 1 FROM inspections_assessment a WHERE a.machine_id = m.id)
""",
    "forecast": """
SELECT count(*) FROM fleet_machine m WHERE contractor_id = {0}
AND NOT EXISTS (SELECT 1 FROM inspections_forecast f WHERE f.machine_id = m.id)
""",
    "options": """
SELECT count(*) FROM fleet_machine m WHERE contractor_id = {0}
AND NOT EXISTS (SELECT 1 FROM inspections_optionset o WHERE o.machine_id = m.id)
""",
    "job": "SELECT count(*) FROM fleet_job WHERE state NOT IN ('DONE', 'CANCELLED')",
}
STANDING = {
    "grades": """
SELECT DISTINCT ON (machine_id) machine_id, grade, inputs_digest
FROM inspections_assessment ORDER BY machine_id, id DESC
""",
    "findings": """
SELECT machine_id, topic, place, grade, value, "limit", reason
FROM inspections_finding WHERE current
""",
    "forecasts": """
SELECT machine_id, quantity, place, state
FROM inspections_forecast WHERE current
""",
    "options": """
SELECT machine_id, first_kind, rules_version FROM inspections_optionset
""",
}


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost and doubled."""
    parser = ArgumentParser(prog="python -m tests.rehearsals night")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--kills", type=int, default=KILLS)
    given = parser.parse_args(arguments)
    with reachable_folder() as folder:
        # A lease is shorter for few machines: whoever dies holds a job for so long.
        lease_s = min(900, max(15, given.machines // 10))
        service = Service(
            folder=folder,
            more={"JOB_LEASE_S": str(lease_s), "JOB_RING_AGAIN_S": "20"},
        )
        try:
            return _story(service, machines=given.machines, kills=given.kills)
        finally:
            service.database.stop()


def _story(service: Service, *, machines: int, kills: int) -> dict[str, Any]:
    service.install()
    stored = service.run(
        sys.executable,
        *("-c", STORE, str(machines), service.database.url(role="owner")),
    )
    contractor = json.loads(stored)
    began = time.monotonic()
    with service.beat():
        killed = _disturbed(service, machines=machines, kills=kills)
        with service.worker():
            _wait_for_the_end(service, machines=machines)
        took = time.monotonic() - began
        whole = {
            "without": _counts(service, WITHOUT, contractor),
            "twice": _counts(service, TWICE, contractor),
        }
        [(all_, different, _)] = service.query(ASSESSED)
        whole["twice"]["assessments"] = all_ - different
        after_kills = _standing(service)
        _begin_another(service, contractor)
        with service.worker():
            _wait_for_the_end(service, machines=machines)
    after_calm = _standing(service)
    [(_, _, assessed)] = service.query(ASSESSED)
    return {
        "machines": machines,
        "kills": killed,
        "seconds": round(took, 1),
        "acknowledged": assessed,
        "lost": sum(whole["without"].values()),
        "doubled": sum(whole["twice"].values()),
        "different": [n for n in STANDING if after_kills[n] != after_calm[n]],
        **whole,
    }


def _disturbed(service: Service, *, machines: int, kills: int) -> int:
    """Kill the worker each time a further part of the night is done; return how often.

    Each machine is looked at by a job of its own: those are most of the night.
    """
    killed = 0
    for number in range(1, kills + 1):
        part = machines * number / (kills + 1)
        with service.worker():
            wait_until(
                lambda: (
                    service.query(DONE)[0][0] > part  # noqa: B023
                    and service.query(MAY_KILL)[0][0]
                ),
                within_s=START_S + SECONDS_A_MACHINE * machines,
            )
        # Leaving the block has killed it with all its children.
        killed += 1
    return killed


def _wait_for_the_end(service: Service, *, machines: int) -> None:
    deadline = START_S + SECONDS_A_MACHINE * machines
    wait_until(lambda: _is_over(service), within_s=deadline)


def _is_over(service: Service) -> bool:
    """Tell whether nothing is pending; twice, for a job may write the next one."""
    for _ in range(2):
        if service.query(PENDING) != [(0,)] or not service.query(DONE)[0][0]:
            return False
        time.sleep(A_LOOK_S)
    return True


def _begin_another(service: Service, contractor: int) -> None:
    """Have a second night begin, and wait until it has."""
    known = service.query(DONE)[0][0]
    service.command(
        f"UPDATE fleet_contractor SET nightly_due_at = now() WHERE id = {contractor}"
    )
    with service.worker():
        wait_until(lambda: service.query(DONE)[0][0] > known, within_s=START_S)


def _counts(
    service: Service, statements: dict[str, str], contractor: int
) -> dict[str, int]:
    return {
        name: service.query(statement.format(contractor))[0][0]
        for name, statement in statements.items()
    }


def _standing(service: Service) -> dict[str, list[tuple[Any, ...]]]:
    return {
        name: sorted(service.query(statement), key=repr)
        for name, statement in STANDING.items()
    }
