"""What each reading of a series counts for, given those that came later."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from inspections.engineering import evidence
from inspections.engineering.evidence import Sighting
from inspections.inputs import Snapshot
from inspections.inputs.snapshot import is_unconfirmed
from inspections.models import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One reading of a series; level rises towards the limit [mm].

    `counts_as_mm` is what later ones leave of the level; None: all of it.
    """

    taken_at: datetime
    level_mm: float
    sd_mm: float
    visit_id: int
    readings: tuple[int, ...]
    confirmed: bool = False
    counts_as_mm: float | None = None


def counted(
    snapshot: Snapshot, *, points: Sequence[Point], groove_id: int | None = None
) -> tuple[Point, ...]:
    """Return the points of a series, each with what is left and confirmed of it.

    groove_id : of a seat: its gauge is the one that was held to the groove, whatever
        the rope was measured with
    """
    by_id = snapshot.once(
        "readings by id", lambda: {r.pk: r for r in snapshot.readings}
    )
    behind = [[by_id[pk] for pk in point.readings if pk in by_id] for point in points]
    sightings = [
        _sighting(point, [r for r in own if groove_id in (None, r.groove_id)])
        for point, own in zip(points, behind, strict=True)
    ]
    left = evidence.counts_as_mm(sightings=sightings)
    return tuple(
        replace(
            point,
            counts_as_mm=level if level < point.level_mm else None,
            confirmed=_is_confirmed(own),
        )
        for point, own, level in zip(points, behind, left, strict=True)
    )


def _is_confirmed(readings: Sequence[Reading]) -> bool:
    """Return whether someone has said of one that it is right, and none is in doubt.

    A level rests on several readings; whoever confirms one has looked at the place.
    """
    accepted = any(getattr(r, "accepted", None) is True for r in readings)
    return accepted and not any(is_unconfirmed(r) for r in readings)


def _sighting(point: Point, readings: Sequence[Reading]) -> Sighting:
    return Sighting(
        value_mm=point.level_mm,
        sd_mm=point.sd_mm,
        taken_at=point.taken_at,
        visit=point.visit_id,
        person=_one({reading.visit.membership_id for reading in readings}),
        gauge=_one({reading.gauge_id for reading in readings}),
    )


def _one(values: set[int | None]) -> int | None:
    """Return the only value; None where there are several, or it is not known."""
    return next(iter(values)) if len(values) == 1 else None
