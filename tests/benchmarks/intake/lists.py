"""Lists and the machine's page on a large portfolio, and on a small one beside it."""

import gc
import json
import time
from collections.abc import Callable, Iterable, Sequence
from statistics import median
from typing import Any

from django.db import connection, transaction

from fleet.models import Machine
from tests import callers, factories
from tests.benchmarks.intake import by_hand, door

PAGE = "machines/<id>/page"
# A list takes the database a millisecond: the best of so many is one time.
IN_TURNS = 10
# How a request finds out who asks, before it asks for what is wanted.
_NOT_THE_LISTS_OWN = ("SAVEPOINT", "set_config", "fleet_token", "UPDATE", "INSERT")

Statement = tuple[str, Any]


def measure(
    large: factories.Cast, small: factories.Cast, *, pairs: int
) -> dict[str, Any]:
    """Return the worst list by each measure, and every list's own figures."""
    found = {
        name: _one(name, large, small, pairs=pairs) for name in (*by_hand.LISTS, PAGE)
    }
    database = max(found, key=lambda name: found[name]["database_ratio"])
    growth = max(found, key=lambda name: found[name]["growth"])
    return {
        "list_database_ratio": found[database]["database_ratio"],
        "list_database_ratio_of": database,
        "list_growth": found[growth]["growth"],
        "list_growth_of": growth,
        "queries_constant": all(one["queries_constant"] for one in found.values()),
        "lists": found,
    }


def _one(
    name: str, large: factories.Cast, small: factories.Cast, *, pairs: int
) -> dict[str, Any]:
    there, here = _path(name, large), _path(name, small)
    own, few = _statements(there, large), _statements(here, small)
    hand = by_hand.PAGE if name == PAGE else by_hand.LISTS[name]
    names = {"contractor": large.contractor.pk, "machine": _machine(large)}
    database = _pairs(
        lambda: _asked_s(large, own),
        lambda: _asked_s(large, [(text, names) for text in hand]),
        pairs=pairs,
    )
    growth = _pairs(
        lambda: _served_s(there, large), lambda: _served_s(here, small), pairs=pairs
    )
    return {
        "queries": len(own),
        "queries_constant": len(own) == len(few),
        "database_ms": round(1000 * median(over for over, _ in database), 2),
        "database_ratio": _ratio(database),
        "page_ms": round(1000 * median(over for over, _ in growth), 2),
        "growth": _ratio(growth),
    }


def _path(name: str, cast: factories.Cast) -> str:
    return f"/api/v1/{name.replace('<id>', str(_machine(cast)))}"


def _machine(cast: factories.Cast) -> int:
    """Return the id of a machine in the middle of a contractor's list."""
    with transaction.atomic():
        callers.confine(cast)
        ids = Machine.objects.order_by("pk").values_list("pk", flat=True)
        return int(ids[len(ids) // 2])


def _statements(path: str, cast: factories.Cast) -> list[Statement]:
    """Return what the application asks the database for an answer."""
    found: list[Statement] = []

    def note(
        execute: Callable[..., Any], text: str, values: Any, many: bool, context: Any
    ) -> Any:
        if not any(word in text for word in _NOT_THE_LISTS_OWN):
            found.append((text, values))
        return execute(text, values, many, context)

    with connection.execute_wrapper(note):
        reply = door.send("GET", path, key=cast.keys["OFFICE"])
    if reply.status != 200:
        raise RuntimeError(f"{path}: {reply.status} {reply.body[:300]!r}")
    if "results" in (body := json.loads(reply.body)) and not body["results"]:
        raise RuntimeError(f"{path} has no rows")
    return found


def _asked_s(cast: factories.Cast, statements: Iterable[Statement]) -> float:
    """Return how long the database takes for some statements, rows fetched [s]."""
    with transaction.atomic():
        callers.confine(cast)
        with connection.cursor() as cursor:
            begun = time.perf_counter()
            for text, values in statements:
                cursor.execute(text, values)
                cursor.fetchall()
            return time.perf_counter() - begun


def _served_s(path: str, cast: factories.Cast) -> float:
    """Return how long a whole request takes [s]."""
    return door.send("GET", path, key=cast.keys["OFFICE"]).seconds


def _pairs(
    ours: Callable[[], float], theirs: Callable[[], float], *, pairs: int
) -> Sequence[tuple[float, float]]:
    """Return alternating times, after one round that warms both sides up.

    Each is the best of some in turns: what else the machine does lengthens a
    millisecond more often than not.
    """
    ours(), theirs()
    gc.collect()
    found = []
    for _ in range(pairs):
        turns = [(ours(), theirs()) for _ in range(IN_TURNS)]
        found.append((min(own for own, _ in turns), min(other for _, other in turns)))
    return found


def _ratio(pairs: Sequence[tuple[float, float]]) -> float:
    return round(median(over / under for over, under in pairs), 3)
