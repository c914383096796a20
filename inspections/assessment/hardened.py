"""A hardened layer: how much of it the seats have worn away."""

from collections.abc import Iterator
from dataclasses import replace

from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.grading import SURE_SD
from inspections.assessment.known import Known
from inspections.engineering.groove import TurnedGroove, hardened_at
from inspections.engineering.source import Certainty
from inspections.inputs import SeatReading
from inspections.models import Grade
from inspections.reasons import Code, Reason, Term, Topic, because, missing

HARDENED = Topic.HARDENED
SOURCE = "EN 81-50:2014, 5.11.2.3.1: V grooves that are not hardened"


def findings(known: Known) -> Iterator[Draft]:
    """Yield what is left of the hardened layer under the deepest seat since the cut."""
    known = known.with_groove
    cut = _cut(known)
    if cut is None or known.stops("traction"):
        return
    if cut.hardened_depth_mm <= 0.0:
        yield from _never_hardened(known, cut)
        return
    numbers = {row.pk: row.number for row in known.snapshot.grooves}
    if not known.worst:
        yield from _never_as_cut(known)
        return
    last = max(known.worst.values(), key=lambda end: end.seat.sunk_mm)
    depth_mm = last.seat.sunk_mm
    left_mm = cut.hardened_depth_mm - depth_mm
    grade: str = Grade.IN_ORDER
    reason: Reason | None = None
    if not hardened_at(groove=cut, seat_depth_mm=depth_mm):
        grade, reason = Grade.PLAN_WORK, _gone(cut)
    elif known.has_unused_clearance():
        grade, reason = Grade.NOT_ASSESSED, missing(Term.GROOVE_AS_CUT)
    elif known.not_registered:
        grade, reason = Grade.NOT_ASSESSED, missing(*known.not_registered)
    elif left_mm < SURE_SD * last.whole_sd_mm:
        grade, reason = Grade.KEEP_AN_EYE_ON, because(Code.LAYER_MAY_BE_GONE)
    yield _draft(numbers[last.groove_id], last, cut.hardened_depth_mm, grade, reason)


def _never_hardened(known: Known, cut: TurnedGroove) -> Iterator[Draft]:
    """Yield that a V must be hardened, where nobody has said that it is."""
    if not cut.must_be_hardened:
        return
    geometry = known.snapshot.geometry
    if geometry is None or geometry.hardened_depth_mm is None:
        yield not_assessed(topic=HARDENED, reason=missing(Term.GROOVE_AS_CUT))
        return
    yield Draft(
        topic=HARDENED,
        grade=Grade.PLAN_WORK,
        source=SOURCE,
        how_sure=Certainty.FROM_MEMORY,
        reason=because(Code.V_NEEDS_UNDERCUT),
        detail={"shared": ["groove_as_cut"]},
    )


def _never_as_cut(known: Known) -> Iterator[Draft]:
    """Yield that a depth is not known where only the clearance left was read."""
    if known.has_unused_clearance():
        yield not_assessed(topic=HARDENED, reason=missing(Term.GROOVE_AS_CUT))


def _cut(known: Known) -> TurnedGroove | None:
    """Return the groove as cut, as hard as it was said to be when it no longer is."""
    said_mm = known.snapshot.once_said.get("hardened_depth_mm")
    if known.groove is None or said_mm is None:
        return known.groove
    return replace(known.groove, hardened_depth_mm=said_mm)


def _gone(cut: TurnedGroove) -> Reason:
    said = because(Code.LAYER_GONE)
    if cut.must_be_hardened:
        return said.with_also(because(Code.V_NEEDS_UNDERCUT))
    return said


def _draft(
    number: int, last: SeatReading, layer_mm: float, grade: str, reason: Reason | None
) -> Draft:
    return Draft(
        topic=HARDENED,
        grade=grade,
        place=f"groove {number}",
        groove_id=last.groove_id,
        value=last.seat.sunk_mm,
        limit=layer_mm,
        margin=layer_mm - last.seat.sunk_mm,
        unit="mm",
        rule=Term.LAYER_LEFT,
        source=SOURCE,
        how_sure=Certainty.FROM_MEMORY,
        reason=reason,
        detail={
            "shared": ["groove_as_cut"],
            "seat_depth_mm": last.seat.sunk_mm,
            "seat_depth_sd_mm": last.whole_sd_mm,
        },
        readings=last.readings,
        unconfirmed=last.unconfirmed,
    )
