"""Several ways of measuring one seat: do they agree, and what was refused."""

from collections.abc import Iterator
from itertools import combinations

from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.known import Known
from inspections.engineering import evidence
from inspections.engineering.seat_depth.measured import Route
from inspections.engineering.source import Certainty
from inspections.inputs import SeatReading
from inspections.models import Grade
from inspections.reasons import Code, Quantity, Term, Topic, because

WAYS = Topic.WAYS
_ROUTES = {
    Route.CLEARANCE: Term.ROUTE_CLEARANCE,
    Route.SEAT_BAND: Term.ROUTE_SEAT_BAND,
    Route.CROWN_HEIGHT: Term.ROUTE_CROWN_HEIGHT,
    Route.CROWN_STEP: Term.ROUTE_CROWN_STEP,
}


def findings(known: Known) -> Iterator[Draft]:
    """Yield disagreements at the last visit, and readings outside a route's range."""
    if known.stops("traction"):
        return
    for row in known.snapshot.grooves:
        seats = known.seats.get(row.pk)
        if seats is None:
            continue
        where = {"place": f"groove {row.number}", "groove_id": row.pk}
        apart = [_apart(pair) for pair in combinations(seats.last, 2)]
        pairs = [found for found in apart if found is not None]
        if pairs:
            yield _draft(min(pairs, key=lambda found: found[0]), where)
        refused = seats.refused_since
        if refused is not None and seats.last:
            yield not_assessed(
                topic=WAYS,
                reason=refused.said,
                readings=refused.readings,
                **where,
            )


Apart = tuple[float, float, SeatReading, SeatReading]


def _apart(pair: tuple[SeatReading, SeatReading]) -> Apart | None:
    """Return margin, limit and the two depths that are too far apart, else None."""
    one, other = pair
    limit_mm = evidence.apart(one_sd=one.whole_sd_mm, other_sd=other.whole_sd_mm)
    margin_mm = limit_mm - abs(one.seat.depth_mm - other.seat.depth_mm)
    return (margin_mm, limit_mm, one, other) if margin_mm < 0.0 else None


def _draft(found: Apart, where: dict[str, object]) -> Draft:
    margin_mm, limit_mm, one, other = found
    ends = (one, other)
    return Draft(
        topic=WAYS,
        grade=Grade.KEEP_AN_EYE_ON,
        value=limit_mm - margin_mm,
        limit=limit_mm,
        margin=margin_mm,
        unit="mm",
        rule=Term.ROUTE_DIFFERENCE,
        source="rule of this program, no source: three standard deviations",
        how_sure=Certainty.COMMON_PRACTICE,
        reason=because(
            Code.ROUTES_DISAGREE,
            depth=Quantity(one.seat.depth_mm, "mm"),
            route=_ROUTES[one.seat.route],
            other_depth=Quantity(other.seat.depth_mm, "mm"),
            other_route=_ROUTES[other.seat.route],
        ),
        detail={
            "routes": [str(end.seat.route) for end in ends],
            "depths_mm": [end.seat.depth_mm for end in ends],
            "sd_mm": [end.whole_sd_mm for end in ends],
        },
        readings=tuple({*one.readings, *other.readings}),
        unconfirmed=one.unconfirmed or other.unconfirmed,
        **where,  # type: ignore[arg-type]
    )
