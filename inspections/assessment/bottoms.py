"""The clearance left between each rope and the bottom of its groove."""

from collections.abc import Iterator
from dataclasses import replace

from fleet.models import Groove
from inspections import inputs
from inspections.assessment import grading
from inspections.assessment import over as overs
from inspections.assessment.draft import Draft, of_verdict
from inspections.assessment.known import Known
from inspections.assessment.over import Over
from inspections.engineering import criteria, discard, unknowns
from inspections.engineering.answer import Axis
from inspections.engineering.answer.axis import from_spread
from inspections.engineering.groove import (
    BY_CODE,
    TurnedGroove,
    UndercutGroove,
    bottoming_depth_mm,
)
from inspections.engineering.seat_depth import Route
from inspections.engineering.traction_answer import SEAT_DEPTH, answer_bottoming
from inspections.engineering.verdict import Outcome
from inspections.inputs import SeatReading, Snapshot
from inspections.models import Grade
from inspections.reasons import Code, Quantity, Topic, because

BOTTOM = Topic.BOTTOM_CLEARANCE
KEY = "bottom_clearance_least"


def findings(known: Known) -> Iterator[Draft]:
    """Yield the clearance at every groove where it was read or worked out."""
    known = known.with_groove
    snapshot = known.snapshot
    for row in snapshot.grooves:
        last = None
        if _has_bottom(snapshot):
            last = inputs.worst_clearance(snapshot, groove_id=row.pk)
        if last is None:
            yield from _worked_out(known, row)
            continue
        found = discard.judge_value(
            criteria_set=snapshot.criteria, key=KEY, value=last.clearance_mm
        )
        grade = grading.of_verdict(found, safety=True, sd=last.sd_mm, span=_span(known))
        yield of_verdict(
            topic=BOTTOM,
            grade=grade,
            verdict=found,
            place=f"groove {row.number}",
            groove_id=row.pk,
            stops_service=grade == Grade.ACT_NOW,
            unconfirmed=last.unconfirmed,
            detail={
                "key": KEY,
                "clearance_mm": last.clearance_mm,
                "clearance_sd_mm": last.sd_mm,
                "rope_diameter_mm": last.rope_diameter_mm,
                "route": str(Route.CLEARANCE),
            },
            readings=last.readings,
        )


def _has_bottom(snapshot: Snapshot) -> bool:
    """Tell whether a rope can sink to a bottom, as far as the form is known."""
    geometry = snapshot.geometry
    shape = BY_CODE.get(geometry.form) if geometry else None
    return shape is None or shape.has_bottom


def _worked_out(known: Known, row: Groove) -> Iterator[Draft]:
    """Yield the clearance that a seat's depth leaves, where it is or may be used up.

    The clearance itself was not read, so it is never said to be in order.
    """
    rope_set, end = known.snapshot.rope_set, known.worst.get(row.pk)
    if known.groove is None or rope_set is None or end is None:
        return
    cut, axis = _with_a_bottom(known, known.groove, rope_set.nominal_diameter_mm)
    new_mm = bottoming_depth_mm(
        groove=cut, rope_diameter_mm=rope_set.nominal_diameter_mm
    )
    if new_mm is None:
        return
    left_mm = new_mm - end.seat.sunk_mm
    found = discard.judge_value(
        criteria_set=known.snapshot.criteria, key=KEY, value=left_mm
    )
    over = _over(known, cut, axis, end, limit_mm=found.limit or 0.0)
    draft = of_verdict(
        topic=BOTTOM,
        grade=Grade.ACT_NOW,
        verdict=found,
        place=f"groove {row.number}",
        groove_id=row.pk,
        stops_service=True,
        unconfirmed=end.unconfirmed,
        detail={
            "key": KEY,
            "clearance_mm": left_mm,
            "clearance_sd_mm": end.whole_sd_mm,
            "rope_diameter_mm": rope_set.nominal_diameter_mm,
            "route": str(end.seat.route),
        },
        readings=end.readings,
        over=over,
    )
    if found.outcome is Outcome.MET:
        yield draft
    elif over is not None and grading.is_open(draft):
        limit_mm = found.limit or 0.0
        reason = because(
            Code.BOTTOM_BETWEEN,
            least=Quantity(limit_mm + (over.worst or 0.0), "mm"),
            most=Quantity(limit_mm + (over.best or 0.0), "mm"),
        )
        yield replace(
            draft, grade=Grade.NOT_ASSESSED, stops_service=False, reason=reason
        )


def _with_a_bottom(
    known: Known, cut: TurnedGroove, rope_diameter_mm: float
) -> tuple[TurnedGroove, Axis | None]:
    """Return the groove with the usual clearance to its bottom where none is known."""
    name = "bottom_clearance_mm"
    if not isinstance(cut, UndercutGroove) or cut.bottom_clearance_mm is not None:
        return cut, known.assumed.get("bottom_width_mm")
    axis = unknowns.axis_of(
        unknown=unknowns.find(name=name),
        of_value=rope_diameter_mm,
        once_said=known.snapshot.once_said.get("bottom_clearance_new_mm"),
    )
    return replace(cut, bottom_clearance_mm=axis.typical), axis


def _over(
    known: Known,
    cut: TurnedGroove,
    axis: Axis | None,
    end: SeatReading,
    *,
    limit_mm: float,
) -> Over | None:
    """Return the clearance over what is not known of the bottom and of the seat."""
    rope_set = known.snapshot.rope_set
    if rope_set is None:
        return None
    seat = from_spread(
        name=SEAT_DEPTH, value=end.seat.sunk_mm, sd=end.whole_sd_mm, least=0.0
    )
    axes = (seat,) if axis is None else (axis, seat)
    box = answer_bottoming(
        groove=cut,
        rope_diameter_mm=rope_set.nominal_diameter_mm,
        seat_depth_mm=end.seat.sunk_mm,
        allowance_mm=limit_mm,
        axes=axes,
    )
    if box is None:
        return None
    unknown = [overs.assumed(seat)] if axis is None else []
    if axis is not None:
        unknown = [overs.assumed_by_table(axis), overs.assumed(seat)]
    return overs.of_box(box, unknown=unknown)


def _span(known: Known) -> float | None:
    """Return the clearance that can be used up, from new to the limit [mm]."""
    rope_set = known.snapshot.rope_set
    if known.groove is None or rope_set is None:
        return None
    new_mm = bottoming_depth_mm(
        groove=known.groove, rope_diameter_mm=rope_set.nominal_diameter_mm
    )
    limit = criteria.lookup(criteria_set=known.snapshot.criteria, key=KEY)
    if new_mm is None or limit.value is None or new_mm <= limit.value:
        return None
    return new_mm - limit.value
