"""How much disk does a portfolio take? ``python -m tests.benchmarks.sizes``

Machines with six ropes and three visits each, assessed and forecast once; then what
PostgreSQL says of each table with its indexes. Run from the project's folder; the
embedded database of the tests is used.
"""

import argparse
import json
import sys
from datetime import timedelta

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running

MACHINES = 1_000
ASSESSED_AT_ONCE = 200
# Smaller tables are added up.
SHOWN_FROM_MB = 0.5

TABLES = """
SELECT relname, reltuples::bigint, pg_total_relation_size(oid) / 1e6
FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace
ORDER BY 3 DESC
"""


def measure(*, machines: int) -> dict[str, dict[str, float]]:
    """Return rows and megabytes by table."""
    from django.db import connections, transaction

    from fleet.models import Machine
    from fleet.platform.database.tenancy import Scope, acting_for, confine
    from fleet.platform.queue import jobs
    from inspections import assessment, forecasts
    from inspections.intake.accepting import ASSESS
    from tests.benchmarks import assessed_fleet

    contractor = assessed_fleet.make(machines=machines)
    running.tidy()
    scope, as_of = Scope(contractor_id=contractor.pk), assessed_fleet.AS_OF
    with transaction.atomic():
        confine(contractor_id=contractor.pk)
        ids = list(Machine.objects.order_by("pk").values_list("pk", flat=True))
    for first in range(0, len(ids), ASSESSED_AT_ONCE):
        some = ids[first : first + ASSESSED_AT_ONCE]
        # Twice: what the first one stored is not stored again.
        for later in (timedelta(0), timedelta(days=1)):
            with acting_for(contractor_id=contractor.pk):
                assessment.assess(scope=scope, machine_ids=some, as_of=as_of + later)
        with acting_for(contractor_id=contractor.pk):
            forecasts.project(scope=scope, machine_ids=some, as_of=as_of)
    with transaction.atomic():
        jobs.write(
            kind=ASSESS, contractor_id=contractor.pk, subject_ids=ids, due_at=as_of
        )
    with connections["owner"].cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")
        cursor.execute(TABLES)
        found = cursor.fetchall()
    return {
        name: {"rows": rows, "megabytes": round(float(megabytes), 2)}
        for name, rows, megabytes in found
    }


def table(sizes: dict[str, dict[str, float]]) -> str:
    """Return the sizes as lines, the largest first."""
    lines, rest = [], 0.0
    for name, one in sizes.items():
        if one["megabytes"] >= SHOWN_FROM_MB:
            lines.append(f"{name:32} {one['rows']:>9} rows {one['megabytes']:>8} MB")
        else:
            rest += one["megabytes"]
    total = sum(one["megabytes"] for one in sizes.values())
    lines += [f"{'all others':32} {rest:>23.2f} MB", f"{'total':32} {total:>23.2f} MB"]
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--machines", type=int, default=MACHINES)
    given = running.arguments(parser, machines=50)

    shown = json.dumps if given.json else table
    running.in_database(
        lambda: measure(machines=given.machines),
        tell=lambda sizes: sys.stdout.write(shown(sizes) + "\n"),
    )


if __name__ == "__main__":
    main()
