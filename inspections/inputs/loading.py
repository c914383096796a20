"""Load machines with their parts and readings, in a constant number of queries."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import Any

from fleet.models import Groove, Machine, Rope
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.engineering import criteria
from inspections.engineering.source import Certainty, Source
from inspections.inputs import least_set, once_said, origins
from inspections.inputs import parts as register
from inspections.inputs.parts import PartsOnDay
from inspections.inputs.snapshot import Snapshot
from inspections.models import Gauge, Reading, Release, Stop, Terms, TermsSubject, Visit
from inspections.stops import causes

# A release of these says that what was read is true no more. What was refuted is set
# aside reading by reading; the others stand.
ANSWERS = (Release.WORK, Release.MOVED)
# What nothing that is judged, forecast or written down asks a reading for.
_OF_NO_USE = (
    "created_at",
    "received_at",
    "version",
    "sequence",
    "clock_offset_s",
    "state_reason",
    "state_said",
)


def load(
    *, scope: Scope, machine_ids: Sequence[int], as_of: datetime
) -> list[Snapshot]:
    """Return a snapshot of each machine as it stands at a moment."""
    parts = register.load(scope=scope, machine_ids=machine_ids, day=as_of.date())
    readings = _readings(scope, machine_ids, as_of, parts)
    answered = _answered(scope, readings, as_of)
    checks = _checks_said(scope)
    snapshots = [
        _snapshot(machine, as_of, parts, tuple(readings.get(machine.pk, ())))
        for machine in register.machines(scope=scope, machine_ids=machine_ids)
    ]
    said = once_said.load(
        scope=scope, rows_of={s.machine.pk: _rows(s) for s in snapshots}
    )
    return [
        replace(
            each,
            answered=frozenset(answered.get(each.machine.pk, ())),
            once_said=said.get(each.machine.pk, {}),
            ages=least_set.ages(
                said=checks,
                criteria_set=each.machine.building.criteria_set,
                time_zone=each.machine.building.time_zone,
            ),
        )
        for each in snapshots
    ]


def _rows(of: Snapshot) -> once_said.Rows:
    return {
        "machine": of.machine,
        "rope_set": of.rope_set,
        "geometry": of.geometry,
    }


def _checks_said(scope: Scope) -> dict[str, int]:
    """Return the ages of checks that the contractor has said."""
    rows = Terms.objects.within(replace(scope, owner_id=None)).filter(
        subject=TermsSubject.CHECKS
    )
    said: dict[str, int] | None = rows.values_list("said", flat=True).first()
    return said or {}


def _answered(
    scope: Scope, readings: Mapping[int, Sequence[Reading]], as_of: datetime
) -> dict[int, set[int]]:
    """Return the readings that released stops were about, by machine.

    A stop rests on all that its finding was worked out from; what a release has
    answered is its own cause, and nothing that another was read by.
    """
    rows = Stop.objects.within(replace(scope, owner_id=None)).filter(
        machine__in=list(readings), release__in=ANSWERS, released_at__lte=as_of
    )
    found: dict[int, set[int]] = defaultdict(set)
    for machine, cause, ids in rows.values_list("machine_id", "cause", "readings"):
        kinds, of_stop = causes.RULES[cause].reads, set(ids)
        found[machine].update(
            reading.pk
            for reading in readings[machine]
            if reading.pk in of_stop and (not kinds or reading.kind in kinds)
        )
    return found


def _snapshot(
    machine: Machine, as_of: datetime, parts: PartsOnDay, readings: tuple[Reading, ...]
) -> Snapshot:
    sheave = parts.sheaves.get(machine.pk)
    rope_set = parts.rope_sets.get(machine.pk)
    pulleys = parts.pulleys_of.get(machine.pk, ())
    return Snapshot(
        as_of=as_of,
        machine=machine,
        criteria=criteria_of(machine),
        sheave=sheave,
        geometry=parts.geometries.get(sheave.pk) if sheave else None,
        grooves=tuple(parts.grooves_of.get(sheave.pk, ())) if sheave else (),
        rope_set=rope_set,
        ropes=tuple(parts.ropes_of.get(rope_set.pk, ())) if rope_set else (),
        seats=tuple(parts.seats_of.get(sheave.pk, ())) if sheave else (),
        pulleys=tuple(p for p in pulleys if register.is_fitted(p, parts.day)),
        works=tuple(parts.works_of.get(machine.pk, ())),
        readings=readings,
    )


def _readings(
    scope: Scope, machine_ids: Sequence[int], as_of: datetime, parts: PartsOnDay
) -> dict[int, list[Reading]]:
    """Return the usable readings by machine, each with visit, gauge, groove, rope."""
    rows = list(
        queries.usable_readings(scope=scope, machine_ids=machine_ids, until=as_of)
        .select_related(None)
        .defer(*_OF_NO_USE)
    )
    # A reading that may be seen is seen with its gauge, whoever looks.
    whole = replace(scope, owner_id=None)
    loaded: dict[str, tuple[Any, dict[int, Any]]] = {
        "visit": (Visit.objects.within(whole).select_related("work"), {}),
        "gauge": (Gauge.objects.within(whole), {}),
        "groove": (Groove.objects.within(whole), parts.grooves),
        "rope": (Rope.objects.within(whole), parts.ropes),
    }
    for name, (query, known) in loaded.items():
        wanted = {vars(row)[f"{name}_id"] for row in rows} - {None}
        # Nothing is asked for a second time; an empty question is none.
        more = query.in_bulk(wanted - known.keys())
        register.tie(rows, name, {**known, **more})
    origins.tie(whole, rows)
    found: dict[int, list[Reading]] = defaultdict(list)
    for row in rows:
        found[vars(row)["machine_id"]].append(row)
    return found


def criteria_of(machine: Machine) -> criteria.CriteriaSet:
    """Return the criteria set of the machine's building, with its own values.

    Raises criteria.UnknownSet or criteria.UnknownLimit for codes that do not exist.
    """
    building = machine.building
    overrides = tuple(
        sorted(
            (name, float(entry["value"]), str(entry.get("source", "")))
            for name, entry in building.criteria_overrides.items()
        )
    )
    return _criteria(building.criteria_set, overrides)


@cache
def _criteria(
    code: str, overrides: tuple[tuple[str, float, str], ...]
) -> criteria.CriteriaSet:
    found = criteria.find(code=code)
    for name, value, source in overrides:
        found = criteria.override(
            criteria_set=found,
            values={name: value},
            source=Source(
                document=source or "the contractor's own value",
                certainty=Certainty.ENTERED,
            ),
        )
    return found
