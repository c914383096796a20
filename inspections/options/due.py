"""The list of what is due: proposals of the options, and planned work that is open."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.decisions.costing import HOISTED
from inspections.decisions.records import OptionKind
from inspections.models import (
    OPEN_STATES,
    DueState,
    DueWork,
    Grade,
    OptionSet,
    PlannedWork,
)
from inspections.options import saying, storing
from inspections.reasons import Code, as_json, because
from inspections.stops import lines

# Where no day is known the line stands behind all that have one.
NO_DAY = date(9999, 12, 31)
_CENT = Decimal("0.01")


def refresh(*, scope: Scope, machine_ids: Sequence[int]) -> None:
    """Make the lines of some machines anew from their options and planned work."""
    ids = list(machine_ids)
    planned: dict[int, list[PlannedWork]] = defaultdict(list)
    open_rows = PlannedWork.objects.within(scope).filter(
        machine__in=ids, state__in=OPEN_STATES
    )
    for row in open_rows.select_related("machine__building").order_by("pk"):
        planned[row.machine_id].append(row)
    sets = {
        each.machine_id: each for each in storing.stored(scope=scope, machine_ids=ids)
    }
    standing = queries.open_stops(scope=scope, machine_ids=ids)
    stopped = set(standing.values_list("machine_id", flat=True))
    DueWork.objects.within(scope).filter(machine__in=ids).delete()
    DueWork.objects.bulk_create(
        DueWork(**(_stopped(line) if pk in stopped else line))
        for pk in ids
        for line in _lines(scope, sets.get(pk), planned.get(pk, ()))
    )
    lines.head(scope=scope, machine_ids=stopped)


def _stopped(line: Mapping[str, Any]) -> dict[str, Any]:
    """Return the line of a machine with an open stop: before all others."""
    return {**line, "out_of_service": True, "rank_on": lines.FIRST_OF_ALL}


def _lines(
    scope: Scope, options: OptionSet | None, planned: Sequence[PlannedWork]
) -> Iterator[dict[str, Any]]:
    summary = options.facts if options else {}
    out = options is not None and options.out_of_service
    for row in planned:
        yield _line(scope, row.machine, summary, row.planned) | {
            "kind": row.kind,
            "planned_work": row,
            "state": row.state,
            "window_from_on": row.window_from_on,
            "due_before_on": row.due_before_on,
            "rank_on": row.due_before_on or NO_DAY,
            "order_by_on": row.still_to_order_by_on,
            "out_of_service": out,
        }
    first = proposal(options.options) if options else None
    if options is None or first is None or options.machine.retired_on is not None:
        return
    if first["kind"] not in {row.kind for row in planned}:
        day = first["plan_before_on"] or first["next_reading_on"]
        yield _line(scope, options.machine, summary, first) | {
            "kind": first["kind"],
            "state": DueState.PROPOSED,
            "due_before_on": day,
            "rank_on": day or NO_DAY,
            "order_by_on": first["order_by_on"],
            "out_of_service": out,
        }


def proposal(options: Sequence[Mapping[str, Any]]) -> Mapping[str, Any] | None:
    """Return the option that the list proposes, None where nothing is to be done.

    Watching is no work, unless the machine is to stand still until somebody decides.
    """
    if not options:
        return None
    first = next((o for o in options if o["recommended"]), options[0])
    idle = first["kind"] == OptionKind.WATCH and not first["out_of_service"]
    return None if idle else first


def _line(
    scope: Scope,
    machine: Machine,
    summary: Mapping[str, Any],
    option: Mapping[str, Any],
) -> dict[str, Any]:
    """Return what a proposal and planned work have in common on the list."""
    kind = option.get("kind", "")
    ropes = kind in OptionKind.__members__ and OptionKind(kind).renews_ropes
    return {
        "contractor_id": scope.contractor_id,
        "machine": machine,
        "building_id": machine.building_id,
        "owner_id": machine.building.owner_id,
        "grade": summary.get("grade", Grade.NOT_ASSESSED),
        "risk": summary.get("risk", 0.0),
        **_reason(option),
        "part": summary.get("part", "")[:120] if ropes else "",
        "part_said": summary.get("part_said") if ropes else None,
        "part_count": summary.get("part_count", 0) if ropes else 0,
        "hoists": kind in HOISTED,
        **_cost(option.get("cost") or {}),
    }


def _reason(option: Mapping[str, Any]) -> dict[str, Any]:
    """Return what has to be known first, else the first of the option's reasons."""
    wanted = saying.items_of(option, "measure_before")
    reasons = saying.reasons_of(option, "reasons")
    said = because(Code.WANTED_FIRST, items=wanted) if wanted else None
    said = said or next(iter(reasons), None)
    if said is None:
        return {"reason": "", "reason_said": None}
    return {"reason": str(said)[:300], "reason_said": as_json(said)}


def _cost(cost: Mapping[str, Any]) -> dict[str, Any]:
    if cost.get("low") is None or cost.get("high") is None or not cost.get("currency"):
        return {"cost_low": None, "cost_high": None, "currency": ""}
    return {
        "cost_low": Decimal(repr(cost["low"])).quantize(_CENT),
        "cost_high": Decimal(repr(cost["high"])).quantize(_CENT),
        "currency": cost["currency"],
    }
