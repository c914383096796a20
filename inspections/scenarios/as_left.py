"""What a technician would read after the work, as new: a scenario starts there."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from fleet.models import Groove, Machine, Rope, Work
from fleet.register.choices import WorkKind
from inspections.inputs import Snapshot
from inspections.models import Reading, ReadingState, Visit, VisitKind
from inspections.scenarios.machine_rows import SUPPOSED_ID
from inspections.scenarios.new_parts import Parts


def work(machine: Machine, kind: WorkKind, *, on: date) -> Work:
    """Return the work that a change would be reported as."""
    return Work(pk=SUPPOSED_ID, machine=machine, kind=kind, done_on=on)


def readings(
    snapshot: Snapshot, *, machine: Machine, parts: Parts, done: Work, cut: bool
) -> tuple[Reading, ...]:
    """Return ropes at their nominal diameter, and seats as cut where they are."""
    visit = Visit(
        pk=SUPPOSED_ID,
        machine=machine,
        kind=VisitKind.AS_LEFT,
        visited_at=snapshot.as_of,
        work=done,
    )
    given = [*_diameters(parts), *(_crowns(parts) if cut else ())]
    return tuple(
        _reading(snapshot, machine, parts, visit, number, one)
        for number, one in enumerate(given, 1)
    )


def _diameters(parts: Parts) -> Iterator[dict[str, Any]]:
    nominal_mm = parts.rope_set.nominal_diameter_mm
    for rope in parts.ropes:
        for direction in ("1", "2"):
            yield {
                "kind": "rope_diameter",
                "rope": rope,
                "value": nominal_mm,
                "place": {"direction": direction},
            }


def _crowns(parts: Parts) -> Iterator[dict[str, Any]]:
    for seat in parts.seats:
        if seat.rope.rope_set is parts.rope_set:
            yield {"kind": "rope_crown_height", "groove": seat.groove, "value": 0.0}


def _reading(
    snapshot: Snapshot,
    machine: Machine,
    parts: Parts,
    visit: Visit,
    number: int,
    given: dict[str, Any],
) -> Reading:
    rope: Rope | None = given.get("rope")
    groove: Groove | None = given.get("groove")
    made = Reading(
        pk=SUPPOSED_ID - number,
        machine=machine,
        sheave=parts.sheave,
        visit=visit,
        rope=rope,
        groove=groove,
        gauge=None,
        kind=given["kind"],
        value=given["value"],
        place=given.get("place", {}),
        state=ReadingState.STORED,
        taken_at=snapshot.as_of,
    )
    vars(made)["accepted"] = True
    return made
