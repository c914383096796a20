"""Load machines with their parts and readings, in a constant number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from functools import cache
from typing import Any

from django.db.models import F

from fleet.models import (
    Groove,
    Machine,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)
from fleet.tenancy import Scope
from inspections import queries
from inspections.engineering import criteria
from inspections.engineering.source import Certainty, Source
from inspections.inputs.snapshot import Snapshot
from inspections.models import Reading


def load(
    *, scope: Scope, machine_ids: Sequence[int], as_of: datetime
) -> list[Snapshot]:
    """Return a snapshot of each machine as it stands at a moment."""
    day = as_of.date()
    machines = Machine.objects.within(scope).filter(pk__in=machine_ids)
    sheaves = _fitted_by(Sheave.objects.within(scope), machine_ids, day)
    rope_sets = _fitted_by(RopeSet.objects.within(scope), machine_ids, day)
    geometries = _geometries(scope, sheaves.values(), day)
    grooves = _grouped(
        Groove.objects.within(scope).filter(sheave__in=sheaves.values()), "sheave_id"
    )
    ropes = _grouped(
        Rope.objects.within(scope).filter(rope_set__in=rope_sets.values()),
        "rope_set_id",
    )
    # Earlier sets too: an old reading is judged with the rope that ran then.
    seats = _grouped(
        RopeInGroove.objects.within(scope)
        .filter(groove__sheave__in=sheaves.values())
        .select_related("rope__rope_set")
        .annotate(sheave_id=F("groove__sheave_id")),
        "sheave_id",
    )
    pulleys = _grouped(
        Pulley.objects.within(scope).filter(
            machine__in=machine_ids, fitted_on__lte=day
        ),
        "machine_id",
    )
    works = _grouped(
        Work.objects.within(scope).filter(machine__in=machine_ids, done_on__lte=day),
        "machine_id",
    )
    readings: dict[int, list[Reading]] = defaultdict(list)
    for reading in queries.usable_readings(
        scope=scope, machine_ids=machine_ids, until=as_of
    ):
        readings[reading.machine_id].append(reading)
    snapshots = []
    for machine in machines.select_related("building").order_by("pk"):
        sheave = sheaves.get(machine.pk)
        rope_set = rope_sets.get(machine.pk)
        snapshots.append(
            Snapshot(
                as_of=as_of,
                machine=machine,
                criteria=criteria_of(machine),
                sheave=sheave,
                geometry=geometries.get(sheave.pk) if sheave else None,
                grooves=tuple(grooves.get(sheave.pk, ())) if sheave else (),
                rope_set=rope_set,
                ropes=tuple(ropes.get(rope_set.pk, ())) if rope_set else (),
                seats=tuple(seats.get(sheave.pk, ())) if sheave else (),
                pulleys=tuple(
                    p
                    for p in pulleys.get(machine.pk, ())
                    if p.retired_on is None or p.retired_on > day
                ),
                works=tuple(works.get(machine.pk, ())),
                readings=tuple(readings.get(machine.pk, ())),
            )
        )
    return snapshots


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


def _fitted_by(rows: Any, machine_ids: Iterable[int], day: date) -> dict[int, Any]:
    """Return the part fitted on a day, by machine."""
    found = rows.filter(machine__in=machine_ids, fitted_on__lte=day).order_by(
        "fitted_on"
    )
    return {
        row.machine_id: row
        for row in found
        if row.retired_on is None or row.retired_on > day
    }


def _geometries(
    scope: Scope, sheaves: Iterable[Sheave], day: date
) -> dict[int, SheaveGeometry]:
    rows = SheaveGeometry.objects.within(scope).filter(
        sheave__in=list(sheaves), valid_from__lte=day
    )
    return {row.sheave_id: row for row in rows.order_by("valid_from")}


def _grouped(rows: Any, key: str) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[getattr(row, key)].append(row)
    return found
