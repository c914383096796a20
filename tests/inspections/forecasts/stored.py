"""Courses of wear put straight into the database, and forecasts read back."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

from fleet.models import Building, Machine
from fleet.platform.database.tenancy import Scope, acting_for
from fleet.register import registry
from inspections import forecasts
from inspections.forecasts.tracks import PREPARED_BY
from inspections.models import Forecast, ForecastRun, TrackPoint, Visit, WearTrack
from tests import callers, factories

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
BEGUN = date(2020, 1, 15)
UNDERCUT = "seat depth, undercut"
COUNTED = "broken wires, 8 strands"

Levels = Sequence[tuple[float, float]]
STEADY: Levels = tuple((float(year), 0.2 * year) for year in range(1, 7))

# What a forecast says, whichever run said it.
NOT_COMPARED = ("id", "run_id", "created_at", "_state", "as_of")


def machines(cast: factories.Cast, *, count: int) -> list[Machine]:
    """Register more machines with sheave, grooves and ropes in the first building."""
    callers.confine(cast)
    building = Building.objects.get(code="mill-house")
    for number in range(count):
        entry = factories.undercut_machine() | {"code": f"more-{number}"}
        registry._register_machine(building=building, entry=entry)
    return [factories.machine(cast.scope(), f"more-{n}") for n in range(count)]


def moment(years: float) -> datetime:
    """Return the moment some years after the parts were fitted."""
    begun = datetime(BEGUN.year, BEGUN.month, BEGUN.day, tzinfo=UTC)
    return begun + timedelta(days=365.25 * years)


def track(
    machine: Machine, *, levels: Levels, place: str = "groove 1", **given: Any
) -> WearTrack:
    """Store one course of wear; levels are (years since fitted, level) pairs."""
    own = {"contractor_id": machine.contractor_id, "machine": machine}
    row = WearTrack.objects.create(
        **own,
        **{
            "quantity": "seat_depth",
            "place": place,
            "class_name": UNDERCUT,
            "begun_on": BEGUN,
            "tolerance": 0.1,
            "limit_level": 2.0,
            "limit_reason": "BOTTOMING",
            "prepared_by": PREPARED_BY,
        }
        | given,
    )
    add(row, levels)
    return row


def add(row: WearTrack, levels: Levels, *, confirmed: bool = False) -> None:
    """Store more points of a course, each at a visit of its moment."""
    own = {"contractor_id": row.contractor_id, "machine_id": row.machine_id}
    for number, (years, level) in enumerate(levels):
        visit, _ = Visit.objects.get_or_create(
            **own,
            reference=f"v-{row.machine_id}-{years:.4f}",
            defaults={"visited_at": moment(years), "membership_id": 1},
        )
        reading = 1000 * row.pk + len(row.readings) + 1
        row.readings.append(reading)
        TrackPoint.objects.create(
            **own,
            track=row,
            visit=visit,
            taken_at=moment(years) + timedelta(seconds=number),
            level=level,
            sd=1.0 if row.quantity == "broken_wires" else 0.08,
            confirmed=confirmed,
            readings=[reading],
        )
    row.save()


def estate(cast: factories.Cast, *, count: int) -> list[Machine]:
    """Register machines, three worn grooves each, every machine at its own rate."""
    found = machines(cast, count=count)
    for number, machine in enumerate(found):
        rate = 0.12 + 0.02 * number
        for groove in (1, 2, 3):
            levels = [(t, rate * t + 0.01 * groove) for t in (1.0, 2.5, 4.0, 5.5)]
            track(machine, levels=levels, place=f"groove {groove}")
    idle(cast)
    return found


def idle(cast: factories.Cast) -> None:
    """Give the first machines a course without readings, so that they are prepared."""
    for code in ("MH-1", "QC-1"):
        track(factories.machine(cast.scope(), code), levels=(), place="groove 9")


def night(cast: factories.Cast, *, now: datetime = NOW) -> ForecastRun:
    """Run the whole fleet of a contractor; return the run."""
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        run_id = forecasts.order_run(scope=scope, now=now)
        forecasts.run_fleet(scope=scope, run_id=run_id, now=now)
        return ForecastRun.objects.get(pk=run_id)


def current(machine: Machine, place: str = "groove 1") -> Forecast:
    """Return the forecast that stands at a place."""
    return Forecast.objects.get(machine=machine, place=place, current=True)


def said(scope: Scope) -> list[dict[str, Any]]:
    """Return all forecasts of a contractor, without what differs from run to run."""
    rows = Forecast.objects.within(scope).order_by(
        "machine", "place", "track_id", "as_of", "pk"
    )
    return [
        {name: value for name, value in vars(row).items() if name not in NOT_COMPARED}
        for row in rows
    ]
