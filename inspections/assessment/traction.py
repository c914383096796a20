"""Traction of every rope's groove as worn, in every load case of the code."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fleet.models import Groove as GrooveRow
from fleet.models import Rope
from fleet.register.choices import StalledDrive
from inspections.assessment import grading, seat_fit, undercut, wear_limits
from inspections.assessment.draft import (
    Draft,
    LimitDraft,
    not_assessed,
    of_verdict,
    plain,
)
from inspections.assessment.grading import TRACTION
from inspections.assessment.known import Known
from inspections.engineering import criteria, suspension, verdict
from inspections.engineering.case_result import CaseResult, GrooveAssessment
from inspections.engineering.criteria import FieldTest
from inspections.engineering.suspension import DepthLimit
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, NotJudged, SeatReading
from inspections.models import Grade
from inspections.reasons import Code, Reason, Topic, because

STALLED = Topic.TRACTION_STALLED

NO_SEAT = because(Code.NO_SEAT_DEPTH)
NOT_CLOSED_AS_NEW = because(Code.NOT_CLOSED_AS_NEW)


@dataclass(frozen=True, slots=True, kw_only=True)
class TractionFindings:
    """What the grooves of one machine give: findings, and the limits on wear."""

    drafts: tuple[Draft, ...]
    limits: tuple[LimitDraft, ...] = ()


def findings(known: Known) -> TractionFindings:
    """Return the traction of every groove, and the limits that bind its wear."""
    reason = known.stops("traction") or known.lacking
    if reason is not None:
        limits = [] if known.stops("traction") else wear_limits.bottoms_only(known)
        failed = _failed_test(known, reason)
        return TractionFindings(
            drafts=(failed or not_assessed(topic=TRACTION, reason=reason),),
            limits=tuple(limits),
        )
    drafts: list[Draft] = []
    limits = []
    for rope in known.snapshot.ropes:
        rows = known.snapshot.grooves_of(rope=rope)
        found = _of_rope(known, rope, rows)
        drafts += found.drafts
        limits += found.limits
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


def _of_rope(known: Known, rope: Rope, rows: tuple[GrooveRow, ...]) -> TractionFindings:
    """Return the findings of one rope in its groove, or pair of grooves."""
    where = {
        "place": "groove " + " and ".join(str(row.number) for row in rows),
        "rope_id": rope.pk,
        "groove_id": rows[0].pk if len(rows) == 1 else None,
    }
    seats: list[SeatReading] = []
    limits: tuple[DepthLimit, ...] = ()
    try:
        seats = _seats(known, rope, rows)
        depths = tuple(seat.seat.sunk_mm for seat in seats)
        limits = known.limits_at(depths)
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
        own = {row.pk for row in rows}
        kept = [
            each for each in wear_limits.bottoms_only(known) if each.groove_id in own
        ]
        return TractionFindings(drafts=(draft,), limits=tuple(kept))
    binding = wear_limits.binding(known, limits)
    if known.limits is None:
        detail["depth_limits"] = plain(limits)
    common = {
        **where,
        "detail": detail,
        "readings": tuple({pk for seat in seats for pk in seat.readings}),
        "unconfirmed": any(seat.unconfirmed for seat in seats),
    }
    return TractionFindings(
        drafts=tuple(_judged(known, worn, max(depths), binding, common)),
        limits=wear_limits.of_grooves(rows, binding),
    )


def _seats(known: Known, rope: Rope, rows: Sequence[GrooveRow]) -> list[SeatReading]:
    """Return the seat depth of each pass that is judged. Raises Missing.

    Where several ways of measuring were used at the last visit the deepest is taken.
    """
    hung = known.suspension
    passes = len(hung.wrap.angles_rad) if hung else 1
    if len(rows) != passes:
        raise Missing(because(Code.PASSES_OF_ROPE, passes=passes, rope=rope.number))
    found = []
    for row in rows:
        seats = known.seats.get(row.pk)
        refused = seats.refused_since if seats else None
        if refused is not None and not _has_other(seats, refused.visit_id):
            raise NotJudged(refused.said)
        if seats is None or not seats.last:
            raise NotJudged(NO_SEAT)
        for topic in (seat_fit, undercut):
            blocked = topic.blocks_traction(known, row=row, rope=rope)
            if blocked is not None:
                raise NotJudged(blocked)
        found.append(max(seats.last, key=lambda end: end.seat.sunk_mm))
    return found


def _has_other(seats: Any, visit_id: int) -> bool:
    """Return whether another way of measuring gave a depth at the same visit."""
    return any(end.visit_id == visit_id for end in seats.last)


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
    )
    detail = {
        "shared": ["suspension", "groove_as_cut", "rules"],
        "seat_depths_mm": list(depths),
        "seat_depth_sd_mm": sd,
        "seat_routes": [str(seat.seat.route) for seat in seats],
        "cases": [plain(case) for case in worn.cases],
    }
    return worn, detail


def _judged(
    known: Known,
    worn: GrooveAssessment,
    depth_mm: float,
    binding: DepthLimit | None,
    common: dict[str, Any],
) -> list[Draft]:
    """Return the traction finding, the stalled case apart where it is not known."""
    drafts = []
    judged = [case for case in worn.cases if not case.accepted_otherwise]
    if known.snapshot.machine.stalled_drive == StalledDrive.UNKNOWN:
        failing = [case for case in judged if case.case.is_stalled and not case.closes]
        if failing:
            judged = [case for case in judged if not case.case.is_stalled]
            drafts.append(
                not_assessed(
                    topic=STALLED,
                    reason=because(Code.STALLED_NOT_KNOWN),
                    **common,
                )
            )
    if not judged:
        return drafts
    worst = min(judged, key=lambda case: case.margin)
    standing = criteria.traction_standing(
        criteria_set=known.snapshot.criteria,
        margin=worst.margin,
        field_test=known.test,
    )
    detail = common["detail"] | {
        "worst": str(worst.case),
        "field_test": plain(known.test),
    }
    as_new = min(judged, key=lambda case: case.as_new_margin)
    grade, reason = _grade(standing, worst, as_new, depth_mm, binding, known.test)
    drafts.append(
        of_verdict(
            topic=TRACTION,
            grade=grade,
            verdict=standing,
            stops_service=grade == Grade.ACT_NOW,
            **{**common, "detail": detail},
        )
        if reason is None
        else not_assessed(
            topic=TRACTION,
            reason=reason,
            value=worst.margin,
            **{**common, "detail": detail | {"as_new": str(as_new.case)}},
        )
    )
    return drafts


def _grade(
    standing: verdict.Verdict,
    worst: CaseResult,
    as_new: CaseResult,
    depth_mm: float,
    binding: DepthLimit | None,
    test: FieldTest | None,
) -> tuple[str, Reason | None]:
    """Return the grade, and the reason where there is no verdict at all."""
    failed_test = test is not None and not test.passed
    if as_new.as_new_margin < 0.0 and not failed_test:
        return Grade.NOT_ASSESSED, NOT_CLOSED_AS_NEW
    if standing.outcome is verdict.Outcome.MET:
        return Grade.ACT_NOW, None
    if standing.outcome is verdict.Outcome.NOT_ASSESSED:
        # Borrowed method and no test: the calculation is information only.
        return (Grade.PLAN_WORK if worst.margin < 0.0 else Grade.NOT_ASSESSED), None
    return (
        grading.of_margin(
            margin=max(worst.margin, 0.0),
            margin_sd=worst.margin_sd,
            depth_mm=depth_mm,
            limit_mm=binding.depth_mm if binding else None,
        ),
        None,
    )
