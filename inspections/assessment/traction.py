"""Traction of every rope's groove as worn, in every load case of the code."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fleet.models import Groove, Rope
from inspections.assessment import (
    grading,
    load_cases,
    seat_fit,
    undercut,
    wear_limits,
    worse,
)
from inspections.assessment.draft import (
    Draft,
    LimitDraft,
    not_assessed,
    of_verdict,
    plain,
)
from inspections.assessment.grading import TRACTION
from inspections.assessment.known import Known
from inspections.engineering import criteria, suspension
from inspections.engineering.case_result import GrooveAssessment
from inspections.engineering.suspension import DepthLimit, FactorCurves
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, NotJudged, SeatReading
from inspections.models import Grade
from inspections.reasons import Code, Reason, Term, because, missing

STALLED = load_cases.STALLED

NO_SEAT = because(Code.NO_SEAT_DEPTH)


@dataclass(frozen=True, slots=True, kw_only=True)
class TractionFindings:
    """What the grooves of one machine give: findings, and the limits on wear."""

    drafts: tuple[Draft, ...]
    limits: tuple[LimitDraft, ...] = ()


def findings(known: Known) -> TractionFindings:
    """Return the traction of every groove, and the limits that bind its wear."""
    reason = known.stops("traction") or known.lacking
    if known.supposed is not None:
        known, reason = known.supposed, None
    if reason is not None:
        limits = [] if known.stops("traction") else wear_limits.bottoms_only(known)
        failed = _failed_test(known, reason)
        return TractionFindings(
            drafts=(failed or not_assessed(topic=TRACTION, reason=reason),),
            limits=tuple(limits),
        )
    ways = [(each.read, _of_ropes(each)) for each in (known, *known.others)]
    return TractionFindings(
        drafts=tuple(
            worse.findings_of(
                worse.Way(read=read, drafts=found.drafts) for read, found in ways
            )
        ),
        limits=worse.limits_of(found.limits for _, found in ways)
        if known.others
        else ways[0][1].limits,
    )


def _of_ropes(known: Known) -> TractionFindings:
    drafts: list[Draft] = []
    limits: list[LimitDraft] = []
    for rope in known.snapshot.ropes:
        rows = known.snapshot.grooves_of(rope=rope)
        found = _of_rope(known, rope, rows)
        drafts += found.drafts
        limits += found.limits
    if not drafts:
        no_ropes = missing(Term.ROPE_SET)
        failed = _failed_test(known, no_ropes)
        drafts = [failed or not_assessed(topic=TRACTION, reason=no_ropes)]
    return TractionFindings(drafts=tuple(drafts), limits=tuple(limits))


def _failed_test(known: Known, reason: Reason) -> Draft | None:
    """Return the finding that a failed field test is, whatever cannot be computed."""
    if known.test is None or known.test.passed:
        return None
    standing = criteria.traction_standing(
        criteria_set=known.snapshot.criteria, margin=None, field_test=known.test
    )
    return of_verdict(
        topic=TRACTION,
        grade=Grade.ACT_NOW,
        verdict=standing,
        stops_service=True,
        detail={"field_test": plain(known.test), "not_computed": str(reason)},
    )


def _of_rope(known: Known, rope: Rope, rows: tuple[Groove, ...]) -> TractionFindings:
    """Return the findings of one rope in its groove, or pair of grooves."""
    where = _where(rope, rows)
    seats: list[SeatReading] = []
    limits: tuple[DepthLimit, ...] = ()
    try:
        seats = _seats(known, rope, rows)
        depths = tuple(seat.seat.sunk_mm for seat in seats)
        limits = () if known.not_registered else known.limits_at(depths)
        worn, detail = _worn(known, seats, depths)
    except (Missing, OutsideValidity) as error:
        reason = error.reason
        failed = _failed_test(known, reason)
        draft = failed or not_assessed(
            topic=TRACTION,
            reason=reason,
            readings=tuple({pk for seat in seats for pk in seat.readings}),
            **where,
        )
        kept = wear_limits.bottoms_of(known, rows)
        return TractionFindings(drafts=(draft,), limits=kept)
    binding = wear_limits.binding(known, limits)
    if known.limits is None:
        detail["depth_limits"] = plain(limits)
    common = {
        **where,
        "detail": detail,
        "readings": tuple({pk for seat in seats for pk in seat.readings}),
        "unconfirmed": any(seat.unconfirmed for seat in seats),
    }
    drafts = load_cases.judged(
        known, worn, depths=depths, binding=binding, common=common
    )
    if known.not_registered:
        drafts = [load_cases.supposed(known, draft) for draft in drafts]
    doubt = _obstacle(known, rope, rows)
    if doubt is not None:
        # What keeps the groove from being judged never clears what it fails by.
        kept_drafts = [each for each in drafts if each.grade in grading.OPEN]
        read = {pk for seat in seats for pk in seat.readings}
        told = not_assessed(
            topic=TRACTION,
            reason=doubt,
            readings=(*read, *_widths(known, rows)),
            **where,
        )
        drafts = [*kept_drafts, told]
    if known.not_registered:
        return TractionFindings(
            drafts=tuple(drafts), limits=wear_limits.bottoms_of(known, rows)
        )
    limit = wear_limits.ends_wear(known, limits, depths, binding)
    return TractionFindings(
        drafts=tuple(drafts), limits=wear_limits.of_grooves(rows, limit)
    )


def _where(rope: Rope, rows: tuple[Groove, ...]) -> dict[str, Any]:
    return {
        "place": "groove " + " and ".join(str(row.number) for row in rows),
        "rope_id": rope.pk,
        "groove_id": rows[0].pk if len(rows) == 1 else None,
    }


def _widths(known: Known, rows: Sequence[Groove]) -> tuple[int, ...]:
    """Return the readings of the slots, which may be what blocks."""
    return tuple(
        reading.pk for row in rows for reading in undercut.widths_read(known, row)
    )


def _seats(known: Known, rope: Rope, rows: Sequence[Groove]) -> list[SeatReading]:
    """Return the deepest credible seat of each pass. Raises Missing."""
    hung = known.suspension
    passes = len(hung.wrap.angles_rad) if hung else 1
    if len(rows) != passes:
        raise Missing(because(Code.PASSES_OF_ROPE, passes=passes, rope=rope.number))
    found = []
    for row in rows:
        end = known.worst.get(row.pk)
        if end is None:
            doubt = _obstacle(known, rope, (row,))
            raise NotJudged(doubt or NO_SEAT)
        found.append(end)
    return found


def _obstacle(known: Known, rope: Rope, rows: Sequence[Groove]) -> Reason | None:
    """Return what keeps a groove from being called in order, None if nothing does."""
    for row in rows:
        if known.has_unused_clearance(groove_id=row.pk):
            return missing(Term.GROOVE_AS_CUT)
        seats = known.seats.get(row.pk)
        refused = seats.refused_since if seats else None
        if seats and refused and not _has_other(seats, refused.visit_id):
            return refused.said
        for topic in (seat_fit, undercut):
            blocked: Reason | None = topic.blocks_traction(known, row=row, rope=rope)
            if blocked is not None:
                return blocked
    return None


def _has_other(seats: Any, visit_id: int) -> bool:
    """Return whether another way of measuring gave a depth at the same visit."""
    return any(end.visit_id == visit_id for end in seats.last)


def _masses(known: Known) -> dict[str, Any]:
    """Return where the masses stand: what is supposed stands with the finding."""
    if known.not_registered or known.is_other:
        return {
            "shared": ["groove_as_cut", "rules"],
            "supposed": plain(known.suspension),
        }
    return {"shared": ["suspension", "groove_as_cut", "rules"]}


def _worn(
    known: Known, seats: Sequence[SeatReading], depths: tuple[float, ...]
) -> tuple[GrooveAssessment, dict[str, Any]]:
    """Return the load cases as worn, and the numbers they came from."""
    if known.suspension is None or known.groove is None:
        raise known.not_judged()
    sd = max(seat.whole_sd_mm for seat in seats)
    worn = suspension.assess_groove(
        suspension=known.suspension,
        groove=known.groove,
        seat_depths_mm=depths,
        seat_depth_sd_mm=sd,
        rules=known.rules,
        curves=known.snapshot.once("factor curves", FactorCurves),
        tensions=known.cases or None,
    )
    detail = {
        **_masses(known),
        "seat_depths_mm": list(depths),
        "seat_depth_sd_mm": sd,
        "seat_routes": [str(seat.seat.route) for seat in seats],
        "cases": [plain(case) for case in worn.cases],
    }
    return worn, detail
