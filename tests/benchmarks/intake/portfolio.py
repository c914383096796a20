"""A large portfolio: one contractor's machine with all its rows, many times over.

The first machine is registered, read, assessed and reported on by the application;
the others are its rows again, written by PostgreSQL itself.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import psycopg
from django.db import transaction
from psycopg import sql

from fleet.models import Machine
from tests import callers, estates, factories
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
    "reports_reportplan",
    "reports_report",
    "reports_delivery",
    "reports_refusedaddress",
)
# Texts that are unique per contractor get the copy's number at their end.
UNIQUE_TEXTS = frozenset(
    {"code", "reference", "key", "number", "message_id", "address"}
)
TEXT_TYPES = frozenset({"character varying", "text"})


@dataclass(slots=True, kw_only=True)
class Copying:
    """The rows of one machine, written again and again with ids of their own."""

    administrator: psycopg.Connection[Any]
    contractor_id: int
    first_id: int
    originals: dict[str, list[int]] = field(default_factory=dict)

    def run(self, *, copies: int) -> None:
        for table in TABLES:
            self._copy(table, copies)

    def _copy(self, table: str, copies: int) -> None:
        ids = self.administrator.execute(
            sql.SQL("SELECT id FROM {} WHERE contractor_id = %s ORDER BY id").format(
                sql.Identifier(table)
            ),
            [self.contractor_id],
        )
        self.originals[table] = [number for (number,) in ids]
        columns = self._columns(table)
        statement = sql.SQL(
            "INSERT INTO {table} ({columns}) SELECT {terms} "
            "FROM generate_series(1, {copies}) AS n CROSS JOIN {table} AS t "
            "WHERE t.contractor_id = {contractor}"
        ).format(
            table=sql.Identifier(table),
            columns=sql.SQL(", ").join(sql.Identifier(name) for name in columns),
            terms=sql.SQL(", ").join(columns.values()),
            copies=sql.Literal(copies),
            contractor=sql.Literal(self.contractor_id),
        )
        if self.originals[table]:
            self.administrator.execute(statement)

    def _columns(self, table: str) -> dict[str, sql.Composable]:
        """Return what each column of a copy holds."""
        references = dict(self.administrator.execute(_REFERENCES, [table]).fetchall())
        found = self.administrator.execute(_COLUMNS, [table]).fetchall()
        return {
            name: self._term(table, name, kind, references.get(name))
            for name, kind in found
        }

    def _term(
        self, table: str, name: str, kind: str, target: str | None
    ) -> sql.Composable:
        column = sql.Identifier("t", name)
        if name == "id":
            return self._new_id(table, column)
        if target in self.originals:
            return self._new_id(target, column)
        if name in UNIQUE_TEXTS and kind in TEXT_TYPES:
            return sql.SQL("{} || '-' || n").format(column)
        return column

    def _new_id(self, table: str, column: sql.Composable) -> sql.Composable:
        ids = self.originals[table]
        return sql.SQL(
            "{first} + n * {count} + array_position({ids}, {column})"
        ).format(
            first=sql.Literal(self.first_id),
            count=sql.Literal(len(ids)),
            ids=sql.Literal(ids),
            column=column,
        )


_COLUMNS = """
SELECT column_name, data_type FROM information_schema.columns
WHERE table_schema = 'public' AND table_name = %s AND is_generated = 'NEVER'
ORDER BY ordinal_position
"""
_REFERENCES = """
SELECT attname, confrelid::regclass::text
FROM pg_constraint JOIN pg_attribute
    ON attrelid = conrelid AND attnum = conkey[array_upper(conkey, 1)]
WHERE contype = 'f' AND conrelid = %s::regclass
"""


def make(*, administrator_url: str, code: str, machines: int) -> factories.Cast:
    """Store a contractor with machines of 500 readings each; return its people."""
    cast = _first_machine(code)
    first_id = FIRST_ID * (1 + 100 * cast.contractor.pk)
    with psycopg.connect(administrator_url) as administrator:
        # Every row is consistent by its making; checking 14 references of each of
        # millions of readings would take most of an hour.
        administrator.execute("SET session_replication_role = replica")
        copying = Copying(
            administrator=administrator,
            contractor_id=cast.contractor.pk,
            first_id=first_id,
        )
        copying.run(copies=machines - 1)
    return cast


def tidy(*, administrator_url: str) -> None:
    """Leave the tables as a database that has lived leaves them."""
    with psycopg.connect(administrator_url, autocommit=True) as administrator:
        for table in TABLES:
            name = sql.Identifier(table)
            administrator.execute(
                sql.SQL(
                    "SELECT setval(pg_get_serial_sequence({text}, 'id'), "
                    "(SELECT max(id) + 1 FROM {name}))"
                ).format(text=sql.Literal(table), name=name)
            )
        administrator.execute("VACUUM ANALYZE")
        administrator.execute("CHECKPOINT")


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
