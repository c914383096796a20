"""Files of a register as an office sends them: the templates' machine, many times."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.db import transaction

from fleet.platform.database.tenancy import acting_for
from fleet.register.exchange.register import REGISTER
from fleet.register.exchange.table import write_chunks
from fleet.register.exchange.words import EXAMPLE
from fleet.register.models import RopeInGroove
from tests import factories
from tests.benchmarks.intake import door

# Lines of a piece: a longer file is left to a worker, who is not measured here.
PIECE = 4_800
A_BUILDING = 20
GROOVES = 6
# Lines of each file for a machine; a rope's line is two rows, with its seat.
LINES = {
    "machines": 1,
    "sheaves": 1,
    "sheave-geometries": 1,
    "grooves": GROOVES,
    "rope-sets": 1,
    "ropes": GROOVES,
}
SEATS = "rope-seats"
OWNERS, BUILDINGS = "owners", "buildings"


def cast(code: str) -> factories.Cast:
    """Store a contractor with two machines and its people."""
    with transaction.atomic():
        return factories.cast(code=code)


def bring_in(
    cast: factories.Cast, name: str, content: bytes, lines: int, what: str = "created"
) -> None:
    """Send a file to the API; each of its lines must have made or changed a row."""
    reply = door.send(
        "POST",
        f"/api/v1/imports/{name}?dry_run=false",
        key=cast.keys["OFFICE"],
        content=content,
        content_type="text/csv",
    )
    expected = f'"{what}":{lines},'.encode()
    if reply.status != 200 or expected not in reply.body.replace(b" ", b""):
        raise RuntimeError(f"{name}: {reply.status} {reply.body[:500]!r}")


def pieces(machines: int) -> Iterator[tuple[str, bytes, int]]:
    """Yield name, content and lines of each file, in the order they come in."""
    yield OWNERS, _written([EXAMPLE[OWNERS]]), 1
    for name in (BUILDINGS, *LINES):
        rows = list(_rows(name, machines))
        for start in range(0, len(rows), PIECE):
            some = rows[start : start + PIECE]
            yield name, _written(some), len(some)


def stored(cast: factories.Cast) -> dict[str, int]:
    """Return how many rows a contractor has, by the name of the file."""
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        found = {
            each.name: each.model.objects.within(scope).count() for each in REGISTER
        }
        return found | {SEATS: RopeInGroove.objects.within(scope).count()}


def _rows(name: str, machines: int) -> Iterator[Mapping[str, str]]:
    example = EXAMPLE[name]
    if name == BUILDINGS:
        for at in range(0, machines, A_BUILDING):
            yield {**example, "code": _building(at)}
        return
    for at in range(machines):
        own = {"machine": f"L-{at}"}
        if name == "machines":
            own = {"code": f"L-{at}", "building": _building(at)}
        for number in range(1, LINES[name] + 1):
            numbers: dict[str, Any] = {
                "number": number,
                "groove": number,
                "axial_mm": 18 * number,
            }
            told = {key: str(numbers[key]) for key in numbers if key in example}
            # Left and right ends are called by the rope's number.
            hitches = {
                key: f"{example[key][0]}{number}" for key in example if "hitch" in key
            }
            yield {**example, **own, **told, **hitches}


def _building(at: int) -> str:
    return f"larch-{at // A_BUILDING}"


def _written(rows: list[Mapping[str, str]]) -> bytes:
    header = list(rows[0])
    return b"".join(write_chunks([header, *(list(row.values()) for row in rows)]))
