"""Packs of several machines, made at once in a constant number of queries.

A pack is plain data for JSON: words in the reader's language, numbers in canonical
units. What a kind of reading is called and takes stands once for all machines, under
`kinds`; what holds at every place of an item once, under `every`. Its bands are those
by which the intake judges (`inspections/kinds/bands.py`).
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.utils.translation import gettext

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import mail_hold
from inspections import cautions, urgent, wording, worklist
from inspections.inputs import Snapshot
from inspections.intake.judge import STOP
from inspections.models import OPEN_STATES, Gauge, PlannedWork, VisitKind
from inspections.packs import alone, items
from inspections.planning import kinds as works
from inspections.worklist import ListedStep, WorklistFacts

# Raised when a phone that knows the earlier form could misread a pack.
VERSION = 1
MOST_MACHINES = 60
# What is done on its own, whether it is due or not; the others only where they are due.
_ALWAYS = (VisitKind.TENSION, VisitKind.SLIP_TEST)
# Whose report needs the numbers of new parts, which the office types.
_NEW_PARTS = frozenset({"ROPING", "REGROOVING", "RIM_RENEWAL", "SHEAVE_REPLACEMENT"})

Pack = dict[str, Any]


def make(
    *,
    scope: Scope,
    machine_ids: Sequence[int],
    minutes: int | None,
    family: str,
    as_of: datetime,
) -> dict[str, Any]:
    """Return the packs of machines, and which of them there are none of, and why.

    In the active language and the units of a family.
    """
    found = worklist.load_many(scope=scope, machine_ids=machine_ids, as_of=as_of)
    here = {facts.snapshot.machine.pk: facts for facts in found}
    retired = {pk for pk, facts in here.items() if facts.snapshot.machine.retired_on}
    planned = _planned(scope, here)
    reader = items.PackReader(family=family)
    packs = [
        _pack(here[pk], planned.get(pk, []), minutes=minutes, reader=reader)
        for pk in machine_ids
        if pk in here and pk not in retired
    ]
    return {
        "version": VERSION,
        "made_at": as_of,
        "server_time": as_of,
        "cautions": [gettext(caution) for caution in cautions.SHORT],
        "stop_words": gettext(STOP),
        "told_words": _told(scope),
        "gauges": list(_gauges(scope)),
        "band_words": items.band_words(),
        "kinds": items.kinds(_codes(packs), reader=reader),
        "machines": packs,
        "absent": [
            {"id": pk, "code": "machine-retired" if pk in retired else "not-found"}
            for pk in machine_ids
            if pk not in here or pk in retired
        ],
    }


def _pack(
    facts: WorklistFacts,
    planned: Sequence[PlannedWork],
    *,
    minutes: int | None,
    reader: items.PackReader,
) -> Pack:
    snapshot = facts.snapshot
    machine, sheave, rope_set = snapshot.machine, snapshot.sheave, snapshot.rope_set
    routine = worklist.worklist_of(facts, visit=VisitKind.ROUTINE, minutes=minutes)
    return {
        "id": machine.pk,
        "code": machine.code,
        "name": machine.name,
        "building": machine.building.name,
        "plate": _plate(machine, reader=reader),
        "marks": _marks(facts),
        "criteria_set": machine.building.criteria_set,
        "time_zone": machine.building.time_zone,
        "cautions": [reader.say(said) for said in routine.cautions_said],
        "stopped": bool(facts.stops),
        "stops": [reader.say(worklist.stopped(stop)) for stop in facts.stops],
        "grooves": [groove.number for groove in snapshot.grooves],
        "ropes": [rope.number for rope in snapshot.ropes],
        "fitted": {
            "sheave": sheave.fitted_on if sheave else None,
            "rope_set": rope_set.fitted_on if rope_set else None,
        },
        "visit_kinds": list(_visits(facts, routine, planned, reader=reader)),
        "works": [_work(row) for row in planned],
    }


def _visits(
    facts: WorklistFacts,
    routine: worklist.Worklist,
    planned: Sequence[PlannedWork],
    *,
    reader: items.PackReader,
) -> Iterator[dict[str, Any]]:
    all_of_it = worklist.worklist_of(
        facts, visit=VisitKind.ROUTINE, minutes=None, whole=True, others=False
    )
    yield _visit(facts, routine, _beside(all_of_it, routine), reader=reader)
    for visit in (*_ALWAYS, *_due(routine, planned)):
        whole = visit in (*_ALWAYS, VisitKind.AS_LEFT)
        found = worklist.worklist_of(
            facts, visit=visit, minutes=None, whole=whole, others=False
        )
        if found.steps:
            yield _visit(facts, found, reader=reader)


def _due(
    routine: worklist.Worklist, planned: Sequence[PlannedWork]
) -> Iterator[VisitKind]:
    for other in routine.other_visits:
        if other.visit not in _ALWAYS:
            yield VisitKind(other.visit)
    if planned:
        yield VisitKind.AS_LEFT


def _visit(
    facts: WorklistFacts,
    found: worklist.Worklist,
    more: Sequence[ListedStep] = (),
    *,
    reader: items.PackReader,
) -> dict[str, Any]:
    return {
        "kind": found.visit,
        "words": gettext(VisitKind(found.visit).label),
        "minutes": found.minutes_planned,
        "cautions": [reader.say(said) for said in found.cautions_said],
        "steps": [_step(facts, step, reader=reader) for step in found.steps],
        "more": [_step(facts, step, reader=reader) for step in more],
    }


def _beside(whole: worklist.Worklist, found: worklist.Worklist) -> list[ListedStep]:
    """Return what a visit can read besides: not due, or due without room."""
    listed = {_spot(item) for step in found.steps for item in step.items}
    rest = [
        replace(step, items=tuple(i for i in step.items if _spot(i) not in listed))
        for step in whole.steps
    ]
    return [step for step in rest if step.items]


def _spot(item: worklist.ListedReading) -> tuple[str, int | None, str]:
    return item.kind, item.number, str(sorted(item.place.items()))


def _codes(packs: Sequence[Pack]) -> list[str]:
    """Return the kinds that packs name, each once."""
    named = (
        item["kind"]
        for pack in packs
        for visit in pack["visit_kinds"]
        for step in (*visit["steps"], *visit["more"])
        for item in step["items"]
    )
    return list(dict.fromkeys(named))


def _step(
    facts: WorklistFacts, step: ListedStep, *, reader: items.PackReader
) -> dict[str, Any]:
    return {
        "code": step.code,
        "words": wording.name(step.said),
        "minutes": step.minutes,
        "items": items.of_step(
            facts, step, reader=reader, own=_own_bands(facts.snapshot)
        ),
    }


def _own_bands(snapshot: Snapshot) -> Mapping[str, alone.Bands]:
    """Return the bands of the machine's own criteria, worked out once."""
    return snapshot.once("bands of criteria", lambda: alone.bands(snapshot))


def _plate(machine: Machine, *, reader: items.PackReader) -> str:
    """Return what stands on the plate, as the register has it."""
    load, speed = machine.rated_load_kg, machine.rated_speed_m_s
    parts = [
        reader.amount(load, "kg") if load else "",
        reader.amount(speed, "m/s") if speed else "",
        gettext(str(machine.get_drive_kind_display())),
        f"{machine.installed_on:%Y}" if machine.installed_on else "",
    ]
    return ", ".join(part for part in parts if part)


def _marks(facts: WorklistFacts) -> str:
    """Return how mark A and groove 1 are told."""
    snapshot = facts.snapshot
    first = snapshot.grooves[0].mark if snapshot.grooves else ""
    datum = snapshot.sheave.datum_mark if snapshot.sheave else ""
    return "; ".join(part for part in (datum, first) if part)


def _planned(scope: Scope, machine_ids: Iterable[int]) -> dict[int, list[PlannedWork]]:
    rows = PlannedWork.objects.within(scope).filter(
        machine__in=list(machine_ids), state__in=OPEN_STATES
    )
    found: dict[int, list[PlannedWork]] = {}
    for row in rows.order_by("due_before_on", "pk"):
        found.setdefault(row.machine_id, []).append(row)
    return found


def _work(row: PlannedWork) -> dict[str, Any]:
    reported = works.REPORTED_AS.get(row.kind)
    return {
        "id": row.pk,
        "kind": row.kind,
        "words": gettext(works.WORDS.get(row.kind, row.kind)),
        "due": row.due_before_on,
        "reported_as": reported,
        "needs_parts": reported in _NEW_PARTS,
    }


def _gauges(scope: Scope) -> Iterator[dict[str, Any]]:
    rows = Gauge.objects.within(scope).filter(retired_on=None)
    yield from rows.values("code", "name", "resolution_mm")


def _told(scope: Scope) -> str:
    """Say who will hear of what acts at once; only what will come true."""
    if mail_hold.is_held() or not urgent.office(scope):
        return gettext("Nobody is told by mail: call whoever is in charge yourself.")
    return gettext("The office is told by mail as soon as this has been sent.")
