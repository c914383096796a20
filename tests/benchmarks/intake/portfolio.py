"""A large portfolio: one contractor's machine with all its rows, many times over.

The first machine is registered, read, assessed and reported on by the application;
the others are its rows again, written by PostgreSQL itself.
"""

import json
from collections.abc import Sequence
from typing import Any

import psycopg
from django.db import transaction

from fleet.models import Machine
from tests import callers, estates, factories
from tests.benchmarks import copied_rows
from tests.benchmarks.intake import bodies

VISITS = 10
READINGS = VISITS * bodies.READINGS_A_VISIT
FINDINGS = 12
FIRST_ID = 1_000_000

# Parents before their children; every table whose rows multiply with machines.
TABLES = (
    "fleet_owner",
    "fleet_building",
    "fleet_machine",
    "fleet_pulley",
    "fleet_sheave",
    "fleet_sheavegeometry",
    "fleet_groove",
    "fleet_ropeset",
    "fleet_rope",
    "fleet_ropeingroove",
    "fleet_work",
    "inspections_gauge",
    "inspections_upload",
    "inspections_visit",
    "inspections_visitphoto",
    "inspections_assessment",
    "inspections_finding",
    "inspections_wearlimit",
    "inspections_weartrack",
    "inspections_trackpoint",
    "inspections_forecastrun",
    "inspections_forecast",
    "inspections_reading",
    "inspections_readingreview",
    "inspections_machinestate",
    "reports_reportplan",
    "reports_report",
    "reports_delivery",
    "reports_refusedaddress",
)


def make(*, administrator_url: str, code: str, machines: int) -> factories.Cast:
    """Store a contractor with machines of 500 readings each; return its people."""
    cast = _first_machine(code)
    first_id = FIRST_ID * (1 + 100 * cast.contractor.pk)
    with psycopg.connect(administrator_url) as administrator:
        copying = copied_rows.Copying(
            administrator=administrator,
            contractor_id=cast.contractor.pk,
            first_id=first_id,
            tables=TABLES,
        )
        copying.run(copies=machines - 1)
    return cast


def tidy(*, administrator_url: str) -> None:
    """Leave the tables as a database that has lived leaves them."""
    copied_rows.tidy(administrator_url=administrator_url, tables=TABLES)


def codes(cast: factories.Cast) -> Sequence[str]:
    """Return the codes of a contractor's machines."""
    with transaction.atomic():
        callers.confine(cast)
        return list(Machine.objects.order_by("pk").values_list("code", flat=True))


def _first_machine(code: str) -> factories.Cast:
    """Register a machine and give it rows in every table, readings by the door."""
    with transaction.atomic():
        entry = factories.portfolio(code=code)
        entry["buildings"] = entry["buildings"][:1]
        entry["owners"] = entry["owners"][:1]
        cast = factories.cast(code=code, entry=entry)
        callers.confine(cast)
        machine = factories.machine(cast.scope())
        estates.fill(cast, machine, mark=f"-{code}")
        estates.assess(cast, machine, findings=FINDINGS)
    for visit in range(VISITS):
        body = bodies.upload(machines=["MH-1"], mark=f"first-{visit}", day=20 * visit)
        _held_and_unconfirmed(body, visit)
        answer = callers.upload_for_real(cast, body)
        if answer.status_code != 207 or set(answer.json()["counts"]) - {
            "stored",
            "held",
        }:
            raise RuntimeError(json.dumps(answer.json())[:2000])
    return cast


def _held_and_unconfirmed(body: dict[str, Any], visit: int) -> None:
    """Let the first visit hold an unlikely good reading and an unlikely bad one."""
    if visit == 0:
        readings = body["visits"][0]["readings"]
        readings[0] |= {"value": "18.9", "unit": "mm"}
        readings[10] |= {"value": "8.1", "unit": "mm"}
