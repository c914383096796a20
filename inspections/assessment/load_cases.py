"""The load cases of one groove: each by itself, whatever the others say."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from fleet.register.choices import StalledDrive
from inspections.assessment import grading, over_traction
from inspections.assessment.draft import Draft, not_assessed, of_verdict, plain
from inspections.assessment.grading import TRACTION
from inspections.assessment.known import Known
from inspections.assessment.over import Over
from inspections.engineering import criteria, verdict
from inspections.engineering.answer import Answer
from inspections.engineering.case_result import (
    CaseResult,
    CaseStanding,
    GrooveAssessment,
)
from inspections.engineering.suspension import DepthLimit
from inspections.models import Grade
from inspections.reasons import Code, Reason, Topic, because, missing

STALLED = Topic.TRACTION_STALLED
NOT_CLOSED_AS_NEW = because(Code.NOT_CLOSED_AS_NEW)
# Wear that takes less than this from a margin is none beside a passed test; our rule.
NO_WEAR = 0.05


def judged(
    known: Known,
    worn: GrooveAssessment,
    *,
    depths: tuple[float, ...],
    binding: DepthLimit | None,
    common: dict[str, Any],
) -> list[Draft]:
    """Return the worst of the cases that closed as new, and each that did not.

    A stalled case is told apart where it is not known whether the drive stalls.
    """
    drafts = []
    cases = [case for case in worn.cases if not case.accepted_otherwise]
    if known.snapshot.machine.stalled_drive == StalledDrive.UNKNOWN:
        failing = [case for case in cases if case.case.is_stalled and not case.closes]
        if failing:
            cases = [case for case in cases if not case.case.is_stalled]
            reason = because(Code.STALLED_NOT_KNOWN)
            drafts.append(not_assessed(topic=STALLED, reason=reason, **common))
    not_as_new = [c for c in cases if c.standing is CaseStanding.NOT_AS_NEW]
    counted = cases if _is_failed(known) else [c for c in cases if c not in not_as_new]
    over = over_traction.answers(known, depths=depths, common=common)
    if counted:
        drafts.append(_worst(known, counted, max(depths), binding, common, over))
    for case in not_as_new:
        drafts.append(_not_as_new(known, case, common, over))
    if over_traction.TOGETHER in over:
        drafts.append(_jointly(known, over[over_traction.TOGETHER], depths, common))
    for case in cases:
        if case.standing is CaseStanding.ONLY_BEDDED_FAILS:
            drafts.append(_only_bedded(case, common))
    return drafts


def _worst(
    known: Known,
    cases: Sequence[CaseResult],
    depth_mm: float,
    binding: DepthLimit | None,
    common: dict[str, Any],
    over: over_traction.Overs,
) -> Draft:
    """Return the finding on the cases that closed as new: the least margin counts."""
    worst = min(cases, key=lambda case: case.margin)
    standing = criteria.traction_standing(
        criteria_set=known.snapshot.criteria,
        margin=worst.margin,
        field_test=known.test,
    )
    detail = common["detail"] | {
        "worst": str(worst.case),
        "field_test": plain(known.test),
        "ends": {
            name: [each.worst, each.best]
            for name, each in over.items()
            if name != over_traction.TOGETHER
        },
    }
    grade = _grade(standing, worst, depth_mm, binding)
    draft = of_verdict(
        topic=TRACTION,
        grade=grade,
        verdict=standing,
        stops_service=grade == Grade.ACT_NOW,
        over=over_traction.together(over, [case.case.value for case in cases]),
        **{**common, "detail": detail},
    )
    return _opened(draft)


def supposed(known: Known, draft: Draft) -> Draft:
    """Return a finding that rests on masses or wrap that nobody has registered.

    What may be in order for one and beyond for another is not known; what is beyond
    with the usual ones is told as such, unless it was so as new already.
    """
    said = missing(*known.not_registered)
    over = draft.over
    reason = said if draft.reason is None else draft.reason.with_also(said)
    if over is None or over.answer is not Answer.OPEN or _is_failed(known):
        return replace(draft, reason=reason)
    is_worn_beyond = draft.topic is TRACTION and draft.grade == Grade.ACT_NOW
    if is_worn_beyond or over.worst is None or over.best is None:
        return replace(draft, reason=reason)
    between = because(Code.OPEN_BETWEEN, worst=over.worst, best=over.best)
    return replace(
        draft,
        grade=Grade.NOT_ASSESSED,
        stops_service=False,
        reason=said.with_also(between),
    )


def _is_failed(known: Known) -> bool:
    return known.test is not None and not known.test.passed


def _is_passed(known: Known) -> bool:
    return known.test is not None and known.test.passed and not known.test.stale


def _opened(draft: Draft) -> Draft:
    """Return a finding that is called in order only where nothing can be beyond."""
    over = draft.over
    quiet = (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON)
    if over is None or over.answer is not Answer.OPEN or draft.grade not in quiet:
        return draft
    if not grading.is_worth_an_eye(draft):
        return draft
    if not grading.is_open(draft):
        return replace(draft, grade=Grade.KEEP_AN_EYE_ON)
    said = because(Code.OPEN_BETWEEN, worst=over.worst or 0.0, best=over.best or 0.0)
    reason = said if draft.reason is None else said.with_also(draft.reason)
    return replace(draft, grade=Grade.NOT_ASSESSED, reason=reason)


def _grade(
    standing: verdict.Verdict,
    worst: CaseResult,
    depth_mm: float,
    binding: DepthLimit | None,
) -> str:
    if standing.outcome is verdict.Outcome.MET:
        return Grade.ACT_NOW
    if standing.outcome is verdict.Outcome.NOT_ASSESSED:
        # Borrowed method and no test: the calculation is information only.
        return Grade.PLAN_WORK if worst.margin < 0.0 else Grade.NOT_ASSESSED
    return grading.of_margin(
        # What a seat gains as it beds in makes no grade better.
        margin=max(min(worst.margin, worst.as_new_margin), 0.0),
        margin_sd=worst.margin_sd,
        depth_mm=depth_mm,
        limit_mm=binding.depth_mm if binding else None,
    )


def _not_as_new(
    known: Known, case: CaseResult, common: dict[str, Any], over: over_traction.Overs
) -> Draft:
    """Return the finding on a case that did not close with the groove as new.

    Then the register is to be checked. What wear has taken since stops the machine all
    the same, as it does where the case closed as new, unless the method is borrowed. A
    test that stands lets pass as no wear what can hardly be told.
    """
    lost = case.as_new_margin - case.margin
    hardly = max(NO_WEAR, grading.SURE_SD * case.margin_sd)
    stops = lost > (hardly if _is_passed(known) else 0.0) and not case.borrowed
    return _of_case(
        case,
        grade=Grade.ACT_NOW if stops else Grade.PLAN_WORK,
        margin=case.margin,
        reason=NOT_CLOSED_AS_NEW,
        common=common,
        over=over.get(case.case.value),
        stops=stops,
    )


def _jointly(
    known: Known, over: Over, depths: tuple[float, ...], common: dict[str, Any]
) -> Draft:
    """Return the finding that no values let all cases close, though each may by itself.

    Where they did not as new either, the register is to be checked.
    """
    best = over.best or 0.0
    reason = because(Code.CASES_NEVER_TOGETHER, best=best)
    as_new = over_traction.closes_together_as_new(known, passes=len(depths))
    stops = as_new and not known.rules.borrowed
    return Draft(
        topic=Topic.TRACTION_TOGETHER,
        grade=Grade.ACT_NOW if stops else Grade.PLAN_WORK,
        value=best,
        limit=0.0,
        margin=best,
        reason=reason if as_new else reason.with_also(NOT_CLOSED_AS_NEW),
        stops_service=stops,
        over=over,
        **common,
    )


def _only_bedded(case: CaseResult, common: dict[str, Any]) -> Draft:
    return _of_case(
        case,
        grade=Grade.PLAN_WORK,
        margin=case.bedded_margin or 0.0,
        reason=because(Code.ONLY_BEDDED_FAILS),
        common=common,
        over=None,
        stops=False,
    )


def _of_case(
    case: CaseResult,
    *,
    grade: str,
    margin: float,
    reason: Reason,
    common: dict[str, Any],
    over: Over | None,
    stops: bool,
) -> Draft:
    topic = STALLED if case.case.is_stalled else Topic.TRACTION_OF_CASE
    detail = {
        name: value for name, value in common["detail"].items() if name != "cases"
    }
    # The cases at its place may be those of other masses.
    detail["own_case"] = plain(case)
    return Draft(
        topic=topic,
        grade=grade,
        value=margin,
        limit=0.0,
        margin=margin,
        reason=because(_SAID[case.case.value]).with_also(reason),
        stops_service=stops,
        over=over,
        **{**common, "detail": {**detail, "case": str(case.case)}},
    )


_SAID = {
    "LOADING": Code.CASE_LOADING,
    "BRAKING_FULL": Code.CASE_BRAKING_FULL,
    "BRAKING_EMPTY": Code.CASE_BRAKING_EMPTY,
    "STALLED_COUNTERWEIGHT": Code.CASE_STALLED_COUNTERWEIGHT,
    "STALLED_CAR": Code.CASE_STALLED_CAR,
}
