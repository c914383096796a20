"""Seat depths as worked out, and what could not be."""

from dataclasses import dataclass
from datetime import datetime
from math import hypot

from inspections.engineering.seat_depth import SeatDepth
from inspections.reasons import Code, Reason, Term, because
from inspections.records import made_by_slots


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class SeatReading:
    """The seat depth of one groove at one visit, and what it rests on.

    `seat.sd_mm` is the scatter from visit to visit. `offset_sd_mm` is what all depths
    of the route share, such as the clearance as cut; a depth left until the rope
    bottoms has the same share, so that it cancels there.
    """

    groove_id: int
    visit_id: int
    taken_at: datetime
    seat: SeatDepth
    clearance_mm: float | None
    clearance_sd_mm: float | None
    rope_diameter_mm: float
    readings: tuple[int, ...]
    unconfirmed: bool
    offset_sd_mm: float = 0.0

    @property
    def whole_sd_mm(self) -> float:
        """The standard deviation of the depth as such, all it rests on counted."""
        return hypot(self.seat.sd_mm, self.offset_sd_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfRange:
    """Readings of one groove at one visit that lie outside what a route holds for."""

    groove_id: int
    visit_id: int
    taken_at: datetime
    route: Term
    reason: Reason
    readings: tuple[int, ...]

    @property
    def said(self) -> Reason:
        """Return which way it was and why it does not hold."""
        return because(Code.ROUTE_REFUSED, route=self.route, why=self.reason)


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveSeats:
    """Everything worked out of one groove's readings, route by route.

    `least` are depths that a seat has at least, by what was out of a route's range,
    `fallen` by crowns that sank and that nobody has read as new: these have no course.
    """

    routes: tuple[tuple[SeatReading, ...], ...]
    refused: tuple[OutOfRange, ...]
    least: tuple[SeatReading, ...] = ()
    fallen: tuple[SeatReading, ...] = ()

    @property
    def series(self) -> tuple[SeatReading, ...]:
        """The depths of the route read most recently, oldest first; () if none.

        Routes differ in bias, so a series keeps to one. Where several were read
        together the first in the order of preference is taken.
        """
        if not self.routes:
            return ()
        return max(self.routes, key=lambda route: route[-1].taken_at)

    @property
    def course(self) -> tuple[SeatReading, ...]:
        """The series with what the seat has at least, where that is newer or as new.

        What was out of a route's range comes from the first in the order of
        preference. At its visit the deepest counts, whichever way it was found.
        """
        series = self.series
        if not self.least or (
            series
            and series[-1].taken_at > self.least[-1].taken_at
            and series[-1].seat.route is not self.least[-1].seat.route
        ):
            return series
        route = self.least[-1].seat.route
        ends = [end for each in self.routes for end in each]
        own = [end for end in ends if end.seat.route is route]
        least = [
            max(
                (one, *(end for end in ends if end.visit_id == one.visit_id)),
                key=lambda end: end.seat.depth_mm,
            )
            for one in self.least
        ]
        return tuple(sorted((*own, *least), key=lambda end: end.taken_at))

    @property
    def last(self) -> tuple[SeatReading, ...]:
        """The latest depth of each route that the latest visit gave."""
        ends = [route[-1] for route in self.routes]
        newest = max((end.taken_at for end in ends), default=None)
        return tuple(end for end in ends if end.taken_at == newest)

    @property
    def refused_since(self) -> OutOfRange | None:
        """The latest refusal at or after the latest depth, None if there is none."""
        if not self.refused:
            return None
        latest = self.refused[-1]
        series = self.series
        if series and series[-1].taken_at > latest.taken_at:
            return None
        return latest
