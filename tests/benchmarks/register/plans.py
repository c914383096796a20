"""Statements of requests for single machines, explained: who reads a whole tenant?"""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.db import connection, transaction

from fleet.models import Machine, Rope, RopeSet, Sheave
from fleet.platform.database.tenancy import acting_for
from tests import factories
from tests.benchmarks.intake import door
from tests.benchmarks.register import files

# Rows that one step of a plan may look at for what belongs to one machine.
MOST = 500
_EXPLAINED = ("SELECT", "UPDATE", "DELETE")

Statement = tuple[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """How many statements were explained, and which read too much."""

    count: int
    names: tuple[str, ...]


def reading_whole(cast: factories.Cast, *, young: bool) -> Explained:
    """Return what reads a contractor's rows where a few are wanted."""
    count, names = 0, []
    for asked, statements in _requests(cast, young=young):
        for statement, parameters in statements:
            count += 1
            for table, rows in _read(cast, statement, parameters):
                if rows > MOST:
                    names.append(f"{asked}: {rows} of {table}")
    return Explained(count=count, names=tuple(names))


def _requests(
    cast: factories.Cast, *, young: bool
) -> Iterator[tuple[str, list[Statement]]]:
    """Yield each request by its name with the statements that it made."""
    key = cast.keys["OFFICE"]
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        ids = Machine.objects.within(scope).order_by("pk").values_list("pk", flat=True)
        machine = ids[len(ids) // 2]
        code = Machine.objects.within(scope).get(pk=machine).code
        sheave = Sheave.objects.within(scope).filter(machine=machine)[0].pk
        rope_set = RopeSet.objects.within(scope).filter(machine=machine)[0].pk
        rope = Rope.objects.within(scope).filter(rope_set=rope_set)[0].pk
    for path in (
        f"machines/{machine}",
        f"machines?code={code}",
        f"sheaves?machine={machine}",
        f"sheave-geometries?sheave={sheave}",
        f"grooves?sheave={sheave}",
        f"rope-sets?machine={machine}",
        f"ropes?rope_set={rope_set}",
        f"ropes/{rope}",
        f"rope-seats?rope={rope}",
        f"machines/{machine}/page",
    ):
        with _heard() as statements:
            reply = door.send("GET", f"/api/v1/{path}", key=key)
        if reply.status != 200:
            raise RuntimeError(f"{path}: {reply.status} {reply.body[:500]!r}")
        yield path.replace(str(machine), "<id>"), statements
    renamed = f"code,name\n{code},{'Another name' if young else 'Its own name'}\n"
    with _heard() as statements:
        files.bring_in(cast, "machines", renamed.encode(), 1, what="changed")
    yield "imports/machines", statements


@contextmanager
def _heard() -> Iterator[list[Statement]]:
    """Hear what is asked of the database inside the block."""
    statements: list[Statement] = []

    def hear(execute: Any, text: Any, parameters: Any, many: bool, context: Any) -> Any:
        if not many and str(text).lstrip().upper().startswith(_EXPLAINED):
            statements.append((str(text), parameters))
        return execute(text, parameters, many, context)

    with connection.execute_wrapper(hear):
        yield statements


def _read(
    cast: factories.Cast, statement: str, parameters: Any
) -> Iterator[tuple[str, int]]:
    """Yield the tables that a plan scans, each with the rows it looked at.

    What a statement changes is taken back.
    """
    with acting_for(contractor_id=cast.contractor.pk), connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN (ANALYZE, FORMAT JSON) {statement}", parameters)
        (plan,) = cursor.fetchone()
        transaction.set_rollback(True)
    found = json.loads(plan) if isinstance(plan, str) else plan
    yield from scans(found[0]["Plan"])


def scans(node: dict[str, Any]) -> Iterator[tuple[str, int]]:
    """Yield the tables that a plan scans, each with the rows that it looked at."""
    if "Relation Name" in node and "Scan" in node["Node Type"]:
        filtered = node.get("Rows Removed by Filter", 0)
        rows = (node["Actual Rows"] + filtered) * node["Actual Loops"]
        yield node["Relation Name"], round(rows)
    for inner in node.get("Plans", ()):
        yield from scans(inner)
