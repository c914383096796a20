"""What each reading of a series counts for, given those that came later."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from inspections.engineering import evidence
from inspections.inputs import Snapshot, sightings
from inspections.inputs.snapshot import is_unconfirmed
from inspections.models import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One reading of a series; level rises towards the limit [mm].

    `counts_as_mm` is what later ones leave of the level; None: all of it. `at_least`
    is a level that was passed, out of a gauge's range.
    """

    taken_at: datetime
    level_mm: float
    sd_mm: float
    visit_id: int
    readings: tuple[int, ...]
    confirmed: bool = False
    at_least: bool = False
    counts_as_mm: float | None = None


def counted(
    snapshot: Snapshot,
    *,
    points: Sequence[Point],
    held: Sequence[Sequence[Reading]] | None = None,
) -> tuple[Point, ...]:
    """Return the points of a series, each with what is left and confirmed of it.

    held : of seats, by point: what was read at the groove, whose person, gauge and
        marks count whatever the rope was measured with
    """
    by_id = sightings.by_id(snapshot)
    behind = [[by_id[pk] for pk in point.readings if pk in by_id] for point in points]
    left = evidence.counts_as_mm(
        sightings=[
            sightings.sighting(
                value_mm=point.level_mm,
                sd_mm=point.sd_mm,
                taken_at=point.taken_at,
                visit_id=point.visit_id,
                readings=own,
                at_least=point.at_least,
            )
            for point, own in zip(points, held or behind, strict=True)
        ]
    )
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
