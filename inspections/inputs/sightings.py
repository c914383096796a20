"""Who read something, and with what: what lets one reading bound another."""

from collections.abc import Sequence
from datetime import datetime

from inspections.engineering.evidence import Sighting
from inspections.inputs.snapshot import Snapshot
from inspections.models import Reading

_MARKS = ("mark", "station", "direction")


def sighting(
    *,
    value_mm: float,
    sd_mm: float,
    taken_at: datetime,
    visit_id: int,
    readings: Sequence[Reading],
    mark: str = "",
    at_least: bool = False,
) -> Sighting:
    """Return a value of one visit with the person and gauge of what it rests on.

    mark : the place it was read at; else the marks or stations of its readings
    """
    return Sighting(
        value_mm=value_mm,
        sd_mm=sd_mm,
        taken_at=taken_at,
        visit=visit_id,
        person=_one({reading.visit.membership_id for reading in readings}),
        gauge=_one({reading.gauge_id for reading in readings}),
        mark=mark or marks_of(readings),
        at_least=at_least,
    )


def marks_of(readings: Sequence[Reading]) -> str:
    """Return where round a groove or along a rope something was read, as one word."""
    marks = {
        "/".join(str(reading.place[key]) for key in _MARKS if key in reading.place)
        for reading in readings
    }
    return ",".join(sorted(marks))


def by_id(snapshot: Snapshot) -> dict[int, Reading]:
    """Return the readings of a machine by their ids."""
    return snapshot.once("readings by id", lambda: {r.pk: r for r in snapshot.readings})


def _one(values: set[int | None]) -> int | None:
    """Return the only value; None where there are several, or it is not known."""
    return next(iter(values)) if len(values) == 1 else None
