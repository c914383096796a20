"""Grooves as worn: traction in every load case, and what is left to the bottom."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from fleet.choices import StalledDrive
from fleet.models import Groove as GrooveRow
from fleet.models import Rope
from inspections import inputs
from inspections.assessment import grading
from inspections.assessment.draft import (
    Draft,
    LimitDraft,
    not_assessed,
    of_verdict,
    plain,
)
from inspections.assessment.grading import TRACTION
from inspections.engineering import criteria, suspension, verdict
from inspections.engineering.case_result import CaseResult, GrooveAssessment
from inspections.engineering.criteria import FieldTest
from inspections.engineering.groove import Groove
from inspections.engineering.suspension import (
    DepthLimit,
    LimitOutcome,
    LimitReason,
    RegisterSpread,
    Suspension,
)
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, SeatReading, Snapshot
from inspections.models import Grade, VisitKind

BOTTOM = "bottom clearance"
SEAT_DEPTH = "seat_depth"
TEST_IS_STALE_AFTER = timedelta(days=365)

NO_SEAT = (
    "no seat depth: it needs the clearance to the slot bottom, or the seat bands of "
    "both flanks, or a crown height with one as new, each with the rope's diameter"
)
NOT_CLOSED_AS_NEW = (
    "the calculation does not close with the groove as new: check register data, "
    "method and load data; a traction test is asked for"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveFindings:
    """What the grooves of one machine give."""

    drafts: tuple[Draft, ...]
    limits: tuple[LimitDraft, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What all grooves of one machine share."""

    snapshot: Snapshot
    groove: Groove
    suspension: Suspension
    series: dict[int, list[SeatReading]]
    test: FieldTest | None
    spread: RegisterSpread
    # In single wrap the limits are the same for every groove of a form; worked out
    # once. None in double wrap, where they depend on the pair.
    shared_limits: tuple[DepthLimit, ...] | None

    def limits(self, depths_mm: tuple[float, ...]) -> tuple[DepthLimit, ...]:
        """Return how deep the seat may sink before each case no longer closes."""
        if self.shared_limits is not None:
            return self.shared_limits
        return suspension.depth_limits(
            suspension=self.suspension,
            groove=self.groove,
            seat_depths_mm=depths_mm,
            rules=self.snapshot.criteria.traction,
            spread=self.spread,
        )


def findings(snapshot: Snapshot) -> GrooveFindings:
    """Return traction and bottom clearance of every groove, and the limits."""
    try:
        groove = inputs.groove_of(snapshot.need_geometry())
        series = inputs.seat_series(snapshot, groove=groove)
    except (Missing, OutsideValidity) as error:
        reason = _with_masses(snapshot, error)
        return GrooveFindings(drafts=(not_assessed(topic=TRACTION, reason=reason),))
    bottoms = _bottoms(snapshot, series)
    try:
        known = _known(snapshot, groove, series)
    except (Missing, OutsideValidity) as error:
        lacking = not_assessed(topic=TRACTION, reason=str(error))
        return GrooveFindings(drafts=(lacking, *bottoms))
    drafts: list[Draft] = []
    limits: list[LimitDraft] = []
    for rope in snapshot.ropes:
        rows = snapshot.grooves_of(rope=rope)
        found = _of_rope(known, rope, rows)
        drafts += found.drafts
        limits += found.limits
    return GrooveFindings(drafts=(*drafts, *bottoms), limits=tuple(limits))


def _with_masses(snapshot: Snapshot, error: Exception) -> str:
    """Return a reason with whatever else is missing, so that it is asked for once."""
    try:
        inputs.suspension_of(snapshot)
    except (Missing, OutsideValidity) as more:
        if isinstance(error, Missing) and isinstance(more, Missing):
            return str(Missing(*dict.fromkeys((*error.names, *more.names))))
    return str(error)


def _known(
    snapshot: Snapshot, groove: Groove, series: dict[int, list[SeatReading]]
) -> _Known:
    """Return what the grooves share. Raises Missing, OutsideValidity."""
    hung = inputs.suspension_of(snapshot)
    spread = inputs.spread_of(snapshot, hung)
    shared = None
    if len(hung.wrap.angles_rad) == 1 and series:
        shared = suspension.depth_limits(
            suspension=hung,
            groove=groove,
            seat_depths_mm=(0.0,),
            rules=snapshot.criteria.traction,
            spread=spread,
        )
    return _Known(
        snapshot=snapshot,
        groove=groove,
        suspension=hung,
        series=series,
        test=field_test(snapshot),
        spread=spread,
        shared_limits=shared,
    )


def field_test(snapshot: Snapshot) -> FieldTest | None:
    """Return the latest traction test; stale after a change or a year (our rule)."""
    latest = None
    for reading in snapshot.of_kind("slip_seen"):
        if reading.visit.kind == VisitKind.SLIP_TEST:
            latest = reading
    if latest is None:
        return None
    changed = [p.fitted_on for p in (snapshot.rope_set, snapshot.sheave) if p]
    if snapshot.geometry is not None:
        changed.append(snapshot.geometry.valid_from)
    tested_on = latest.taken_at.date()
    return FieldTest(
        passed=latest.word == "no",
        tested_on=tested_on,
        stale=any(day > tested_on for day in changed)
        or snapshot.as_of - latest.taken_at > TEST_IS_STALE_AFTER,
    )


def _of_rope(known: _Known, rope: Rope, rows: tuple[GrooveRow, ...]) -> GrooveFindings:
    """Return the findings of one rope in its groove, or pair of grooves."""
    place = "groove " + " and ".join(str(row.number) for row in rows)
    where = {
        "place": place,
        "rope_id": rope.pk,
        "groove_id": rows[0].pk if len(rows) == 1 else None,
    }
    passes = len(known.suspension.wrap.angles_rad)
    if len(rows) != passes:
        reason = f"missing: the {passes} groove(s) that rope {rope.number} runs in"
        return GrooveFindings(
            drafts=(not_assessed(topic=TRACTION, reason=reason, **where),)
        )
    seats = [known.series[row.pk][-1] for row in rows if row.pk in known.series]
    if len(seats) != passes:
        return GrooveFindings(
            drafts=(not_assessed(topic=TRACTION, reason=NO_SEAT, **where),)
        )
    depths = tuple(seat.seat.sunk_mm for seat in seats)
    sd = max(seat.seat.sd_mm for seat in seats)
    rules = known.snapshot.criteria.traction
    try:
        worn = suspension.assess_groove(
            suspension=known.suspension,
            groove=known.groove,
            seat_depths_mm=depths,
            seat_depth_sd_mm=sd,
            rules=rules,
        )
        limits = known.limits(depths)
    except OutsideValidity as error:
        return GrooveFindings(
            drafts=(not_assessed(topic=TRACTION, reason=str(error), **where),)
        )
    binding = _binding(known, limits)
    detail = {
        "suspension": plain(known.suspension),
        "groove_as_cut": plain(known.groove),
        "groove_kind": type(known.groove).__name__,
        "seat_depths_mm": list(depths),
        "seat_depth_sd_mm": sd,
        "seat_routes": [str(seat.seat.route) for seat in seats],
        "rules": plain(rules),
        "cases": [plain(case) for case in worn.cases],
        "register_spread": plain(known.spread),
        "depth_limits": [plain(limit) for limit in limits],
    }
    common = {
        **where,
        "detail": detail,
        "readings": tuple({pk for seat in seats for pk in seat.readings}),
        "unconfirmed": any(seat.unconfirmed for seat in seats),
    }
    drafts = _traction(known, worn, max(depths), binding, common)
    return GrooveFindings(
        drafts=tuple(drafts), limits=_limit_rows(rows, binding, place)
    )


def _traction(
    known: _Known,
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
                    topic="traction, stalled",
                    reason="the ropes would not slip with the drive stalled; the "
                    "register does not say whether the drive itself stalls or is "
                    "stopped by a safety device",
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
    grade, reason = _grade(standing, worst, depth_mm, binding, known.test)
    drafts.append(
        of_verdict(
            topic=TRACTION,
            grade=grade,
            verdict=standing,
            stops_service=grade == Grade.ACT_NOW,
            **{**common, "detail": common["detail"] | {"worst": str(worst.case)}},
        )
        if not reason
        else not_assessed(topic=TRACTION, reason=reason, **common)
    )
    return drafts


def _grade(
    standing: verdict.Verdict,
    worst: CaseResult,
    depth_mm: float,
    binding: DepthLimit | None,
    test: FieldTest | None,
) -> tuple[str, str]:
    """Return the grade, and the reason where there is no verdict at all."""
    failed_test = test is not None and not test.passed
    if worst.as_new_margin < 0.0 and not failed_test:
        return Grade.NOT_ASSESSED, NOT_CLOSED_AS_NEW
    if standing.outcome is verdict.Outcome.MET:
        return Grade.ACT_NOW, ""
    if standing.outcome is verdict.Outcome.NOT_ASSESSED:
        # Borrowed method and no test: the calculation is information only.
        return (Grade.PLAN_WORK if worst.margin < 0.0 else Grade.NOT_ASSESSED), ""
    return (
        grading.of_margin(
            margin=max(worst.margin, 0.0),
            margin_sd=worst.margin_sd,
            depth_mm=depth_mm,
            limit_mm=binding.depth_mm if binding else None,
        ),
        "",
    )


def _binding(known: _Known, limits: tuple[DepthLimit, ...]) -> DepthLimit | None:
    """Return the limit met first; stalled ones only where the ropes must slip."""
    unknown = known.snapshot.machine.stalled_drive == StalledDrive.UNKNOWN
    usable = tuple(
        limit
        for limit in limits
        if limit.outcome is LimitOutcome.CLOSES_UNTIL
        and not (unknown and limit.reason.value.startswith("STALLED"))
    )
    return suspension.binding_limit(limits=usable)


def _limit_rows(
    rows: tuple[GrooveRow, ...], binding: DepthLimit | None, place: str
) -> tuple[LimitDraft, ...]:
    if binding is None or binding.depth_mm is None:
        return ()
    words = (
        "clearance to the groove bottom used up"
        if binding.reason is LimitReason.BOTTOMING
        else f"the traction calculation no longer closes ({binding.reason.value})"
    )
    return tuple(
        LimitDraft(
            quantity=SEAT_DEPTH,
            place=f"groove {row.number}",
            value=binding.depth_mm,
            sd=binding.sd_mm or 0.0,
            reason=binding.reason.value,
            criterion=words + (", borrowed method" if binding.borrowed else ""),
            dominated_by=binding.dominating or "",
            groove_id=row.pk,
        )
        for row in rows
    )


def _bottoms(
    snapshot: Snapshot, series: dict[int, list[SeatReading]]
) -> tuple[Draft, ...]:
    """Return the clearance left under each rope, where it was read."""
    limit = criteria.lookup(
        criteria_set=snapshot.criteria, key="bottom_clearance_least"
    )
    drafts = []
    for row in snapshot.grooves:
        readings = series.get(row.pk, [])
        last = readings[-1] if readings else None
        if last is None or last.clearance_mm is None:
            continue
        found = verdict.judge(limit=limit, value=last.clearance_mm)
        grade = grading.of_verdict(found, safety=True, sd=last.clearance_sd_mm or 0.0)
        drafts.append(
            of_verdict(
                topic=BOTTOM,
                grade=grade,
                verdict=found,
                place=f"groove {row.number}",
                groove_id=row.pk,
                stops_service=grade == Grade.ACT_NOW,
                unconfirmed=last.unconfirmed,
                detail={
                    "clearance_mm": last.clearance_mm,
                    "clearance_sd_mm": last.clearance_sd_mm,
                    "rope_diameter_mm": last.rope_diameter_mm,
                    "route": str(last.seat.route),
                },
                readings=last.readings,
            )
        )
    return tuple(drafts)
