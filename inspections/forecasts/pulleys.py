"""How far the grooves of a deflector, pulley or secondary sheave differ, in time."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from math import hypot, sqrt

from fleet.models import Pulley
from inspections.forecasts import counting
from inspections.forecasts.counting import Point
from inspections.forecasts.series import PULLEYS, SEAT_TOLERANCE_MM, WearSeries
from inspections.inputs import Snapshot, noise
from inspections.models import Reading, WearLimit

KIND = "pulley_groove_depth"
QUANTITY = "pulley_groove_spread"
_TWO = 2


def of_machine(
    snapshot: Snapshot, *, limits: Sequence[WearLimit]
) -> Iterator[WearSeries]:
    """Yield one series for each registered pulley of which two grooves were read.

    The level is the deepest less the shallowest of one visit; where not every rope's
    groove was read, it is at least that. Without a limit no date is told, and the
    forecast says so; a pulley that nobody has read has no series at all.
    """
    by_place = {each.place: each for each in limits if each.quantity == QUANTITY}
    for pulley in snapshot.pulleys:
        points = _points(snapshot, pulley)
        if not points:
            continue
        place = f"pulley {pulley.number}"
        limit = by_place.get(place)
        yield WearSeries(
            machine_id=snapshot.machine.pk,
            quantity=QUANTITY,
            place=place,
            groove_id=None,
            rope_id=None,
            class_name=PULLEYS,
            begun_on=pulley.fitted_on,
            # Two grooves, each as far off as a new seat is.
            tolerance_mm=hypot(SEAT_TOLERANCE_MM, SEAT_TOLERANCE_MM),
            points=counting.counted(snapshot, points=points),
            limit=limit,
            limit_level_mm=limit.value if limit else None,
            limit_sd_mm=limit.sd if limit else 0.0,
        )


def _points(snapshot: Snapshot, pulley: Pulley) -> list[Point]:
    ropes = snapshot.rope_set.ropes_count if snapshot.rope_set else 0
    by_visit: dict[int, list[Reading]] = defaultdict(list)
    for reading in snapshot.of_kind(KIND):
        is_its_own = reading.place.get("pulley") == str(pulley.number)
        is_since = reading.taken_at.date() >= pulley.fitted_on
        if reading.value is not None and is_its_own and is_since:
            by_visit[reading.visit_id].append(reading)
    return [
        _point(read, grooves=len(grooves), ropes=ropes)
        for read in by_visit.values()
        if len(grooves := {str(r.place.get("pulley_groove", "")) for r in read}) >= _TWO
    ]


def _point(read: Sequence[Reading], *, grooves: int, ropes: int) -> Point:
    depths = [reading.value or 0.0 for reading in read]
    return Point(
        taken_at=read[0].taken_at,
        level_mm=max(depths) - min(depths),
        sd_mm=sqrt(_TWO) * (max(map(noise.of, read)) or SEAT_TOLERANCE_MM),
        visit_id=read[0].visit_id,
        readings=tuple(reading.pk for reading in read),
        at_least=grooves < ropes,
    )
