"""How deep a seat is at least, by a rope's crown that nobody has read as new."""

from collections.abc import Sequence
from dataclasses import replace

from inspections.engineering import evidence, seat_depth
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.seat_depth import SeatDepth
from inspections.engineering.validity import OutsideValidity
from inspections.inputs.seats.visits import GrooveVisit

Sunk = tuple[GrooveVisit, SeatDepth]


def since_first_read(groove: TurnedGroove, visits: Sequence[GrooveVisit]) -> list[Sunk]:
    """Return the visits at which a crown had sunk since it was first read, and how far.

    The highest crown before at the same mark stands for the one as new; at a mark that
    was not read before, the highest of any. What the gauges scatter is no sinking.
    """
    found: list[Sunk] = []
    highest: dict[str, tuple[float, float]] = {}
    for visit in visits:
        diameter_mm = visit.diameter.mean_mm
        now = {
            mark: (height, diameter_mm)
            for mark, height in visit.by_mark("rope_crown_height").items()
        }
        if not now:
            continue
        top = max([*highest.values(), *now.values()])
        sunk = [
            seat
            for mark, (height_mm, _) in now.items()
            if (seat := _sunk(groove, visit, highest.get(mark, top), height_mm, mark))
        ]
        if sunk:
            found.append((visit, max(sunk, key=lambda seat: seat.depth_mm)))
        highest |= {mark: max(at, highest.get(mark, at)) for mark, at in now.items()}
    return found


def _sunk(
    groove: TurnedGroove,
    visit: GrooveVisit,
    before: tuple[float, float],
    height_mm: float,
    mark: str,
) -> SeatDepth | None:
    sd_mm = visit.sd("rope_crown_height", mark=mark)
    try:
        seat = seat_depth.from_crown_height(
            groove=groove,
            baseline_height_mm=before[0],
            height_mm=height_mm,
            baseline_diameter_mm=before[1],
            rope_diameter_mm=visit.diameter.mean_mm,
            height_sd_mm=sd_mm,
            diameter_sd_mm=visit.diameter.sd_mm,
        )
    except OutsideValidity:
        return None
    if seat.depth_mm <= evidence.apart(one_sd=seat.sd_mm, other_sd=0.0):
        return None
    return replace(seat, at_least=True)
