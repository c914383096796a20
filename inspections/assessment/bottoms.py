"""The clearance left between each rope and the bottom of its groove."""

from collections.abc import Iterator

from fleet.models import Groove as GrooveRow
from inspections import inputs
from inspections.assessment import grading
from inspections.assessment.draft import Draft, of_verdict
from inspections.assessment.known import Known
from inspections.engineering import criteria, discard
from inspections.engineering.groove import bottoming_depth_mm
from inspections.engineering.verdict import Outcome
from inspections.models import Grade
from inspections.reasons import Topic

BOTTOM = Topic.BOTTOM_CLEARANCE
KEY = "bottom_clearance_least"


def findings(known: Known) -> Iterator[Draft]:
    """Yield the clearance at every groove where it was read or worked out."""
    snapshot = known.snapshot
    for row in snapshot.grooves:
        seats = known.seats.get(row.pk)
        last = inputs.worst_clearance(snapshot, seats=seats) if seats else None
        if last is None or last.clearance_mm is None:
            yield from _worked_out(known, row)
            continue
        found = discard.judge_value(
            criteria_set=snapshot.criteria, key=KEY, value=last.clearance_mm
        )
        grade = grading.of_verdict(
            found, safety=True, sd=last.clearance_sd_mm or 0.0, span=_span(known)
        )
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
                "clearance_sd_mm": last.clearance_sd_mm,
                "rope_diameter_mm": last.rope_diameter_mm,
                "route": str(last.seat.route),
            },
            readings=last.readings,
        )


def _worked_out(known: Known, row: GrooveRow) -> Iterator[Draft]:
    """Yield the clearance that a seat's depth leaves, where it is used up.

    The clearance itself was not read, so it is never said to be in order.
    """
    rope_set, end = known.snapshot.rope_set, known.worst.get(row.pk)
    if known.groove is None or rope_set is None or end is None:
        return
    new_mm = bottoming_depth_mm(
        groove=known.groove, rope_diameter_mm=rope_set.nominal_diameter_mm
    )
    if new_mm is None:
        return
    left_mm = new_mm - end.seat.sunk_mm
    found = discard.judge_value(
        criteria_set=known.snapshot.criteria, key=KEY, value=left_mm
    )
    if found.outcome is not Outcome.MET:
        return
    yield of_verdict(
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
    )


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
