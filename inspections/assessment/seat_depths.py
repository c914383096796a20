"""How equal the seats of the set are, and what unequal ones feed.

Seats that were not read make nothing better: what a visit read of some grooves stands
beside the last visit that read them all.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from statistics import fmean
from typing import Any

from fleet.models import RopeSet
from inspections.assessment import grading
from inspections.assessment.draft import Draft, of_verdict, plain
from inspections.assessment.known import Known
from inspections.assessment.over import Over
from inspections.engineering import discard, tension
from inspections.engineering.answer import Answer
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.seat_depth import Route
from inspections.engineering.verdict import Outcome
from inspections.inputs import SeatReading
from inspections.models import Grade
from inspections.reasons import Code, Quantity, Reason, Term, Topic, because, missing

DEPTHS = Topic.SEAT_DEPTHS
KEY = "groove_depth_spread"
# Equal seats read with noise show more than this in one case out of a hundred.
NOISE_PROBABILITY = 0.99
_TWO = 2


def findings(known: Known) -> Iterator[Draft]:
    """Yield the difference between the deepest and the shallowest seat."""
    known = known.with_groove
    rope_set, cut = known.snapshot.rope_set, known.groove
    if rope_set is None or cut is None:
        return
    told = [
        _of_visit(known, rope_set, cut, seats)
        for seats in _standing(known)
        if len(seats) >= _TWO
    ]
    if told:
        yield grading.worst_of(told)


def _of_visit(
    known: Known, rope_set: RopeSet, cut: TurnedGroove, seats: Sequence[SeatReading]
) -> Draft:
    snapshot = known.snapshot
    depths = [seat.seat.depth_mm for seat in seats]
    spread_mm = max(depths) - min(depths)
    sd_mm = max(seat.seat.sd_mm for seat in seats)
    noise_mm = sd_mm * tension.range_quantile(
        count=len(seats), probability=NOISE_PROBABILITY
    )
    found = discard.judge_value(
        criteria_set=snapshot.criteria,
        key=KEY,
        value=100.0 * spread_mm / rope_set.nominal_diameter_mm,
    )
    feed = _feed(known, cut, seats)
    grade, reason = Grade.IN_ORDER, because(Code.WITHIN_NOISE)
    if found.outcome is Outcome.NOT_ASSESSED:
        grade, reason = Grade.NOT_ASSESSED, found.reason
    elif spread_mm > noise_mm:
        grade, reason = Grade.KEEP_AN_EYE_ON, _said(feed)
    draft = of_verdict(
        topic=DEPTHS,
        grade=grade,
        verdict=found,
        detail={
            "shared": ["groove_as_cut", "suspension"],
            "key": KEY,
            "nominal_diameter_mm": rope_set.nominal_diameter_mm,
            "seat_depths_mm": depths,
            "rope_diameters_mm": [seat.rope_diameter_mm for seat in seats],
            "seat_depth_sd_mm": sd_mm,
            "noise_mm": noise_mm,
            **feed,
        },
        readings=tuple({pk for seat in seats for pk in seat.readings}),
        unconfirmed=any(seat.unconfirmed for seat in seats),
    )
    lacking = _lacking(known, seats)
    if lacking is not None and grade == Grade.IN_ORDER:
        grade, reason = Grade.NOT_ASSESSED, lacking
        draft = replace(draft, grade=grade, over=None)
    elif lacking is not None and draft.answer == Answer.WITHIN:
        # It may differ by more still.
        reason = lacking.with_also(reason)
        draft = replace(draft, over=Over(answer=Answer.OPEN, best=draft.margin))
    return replace(draft, reason=reason)


def _lacking(known: Known, seats: Sequence[SeatReading]) -> Reason | None:
    """Return what keeps depths from being called within, None where nothing does."""
    if known.has_unused_clearance():
        return missing(Term.GROOVE_AS_CUT)
    if known.not_registered:
        # By a usual groove nothing is in order.
        return missing(*known.not_registered)
    if min(len(seats), len(_comparable(known))) < _running(known):
        # The seat that was not read may be the one that differs.
        return because(Code.NO_SEAT_DEPTH)
    return None


def _standing(known: Known) -> Iterator[Sequence[SeatReading]]:
    """Yield the latest depths, and those before them back to the last of all grooves.

    What came before that one is settled by it.
    """
    latest = _comparable(known)
    yield latest
    running = _running(known)
    if len(latest) >= running:
        return
    by_visit: dict[tuple[int, Route], list[SeatReading]] = {}
    for seats in known.seats.values():
        for route in seats.routes:
            for end in route:
                by_visit.setdefault((end.visit_id, end.seat.route), []).append(end)
    for ends in sorted(by_visit.values(), key=_taken_at, reverse=True):
        yield ends
        if len(ends) >= running:
            return


def _taken_at(ends: Sequence[SeatReading]) -> datetime:
    return max(end.taken_at for end in ends)


def _comparable(known: Known) -> list[SeatReading]:
    """Return the latest depths that one visit read by one route in all grooves."""
    ends = [s.series[-1] for s in known.seats.values() if s.routes]
    if not ends:
        return []
    newest = max(ends, key=lambda end: end.taken_at)
    return [
        end
        for end in ends
        if end.visit_id == newest.visit_id and end.seat.route == newest.seat.route
    ]


def _running(known: Known) -> int:
    """Return in how many grooves a rope runs."""
    ropes = {rope.pk for rope in known.snapshot.ropes}
    grooves = {row.pk for row in known.snapshot.grooves}
    return len(
        {
            seat.groove_id
            for seat in known.snapshot.seats
            if seat.rope_id in ropes and seat.groove_id in grooves
        }
    )


def _feed(
    known: Known, cut: TurnedGroove, seats: Sequence[SeatReading]
) -> dict[str, Any]:
    """Return what the greatest difference of running radius feeds, and its force.

    Thin ropes run on a smaller radius as deep seats do.
    """
    hung, stiffness_n = known.suspension, known.rope_stiffness_n
    if hung is None:
        return {}
    mean_mm = fmean([seat.rope_diameter_mm for seat in seats])
    radii = [
        tension.radius_from_diameter_mm(
            groove=cut,
            diameter_difference_mm=seat.rope_diameter_mm - mean_mm,
            on_edges=False,
        )
        - seat.seat.depth_mm
        for seat in seats
    ]
    feed = tension.feed_difference(
        radius_difference_mm=max(radii) - min(radii),
        sheave_diameter_mm=hung.sheave_diameter_mm,
        rope_travel_m=hung.rope_travel_m,
    )
    detail: dict[str, Any] = {"feed": plain(feed)}
    if stiffness_n is not None:
        detail["rope_stiffness_n"] = stiffness_n
        detail["tension_if_nothing_slips_n"] = tension.tension_from_feed_n(
            feed_mm=feed.per_trip_mm,
            free_length_m=hung.rope_travel_m,
            rope_stiffness_n=stiffness_n,
        )
    return detail


def _said(feed: dict[str, Any]) -> Reason:
    if not feed:
        return because(Code.BEYOND_NOISE)
    length = Quantity(abs(feed["feed"]["per_trip_mm"]), "mm")
    return because(Code.FEEDS_MORE, length=length)
