"""How hard a car was slowed in a traction test, against how hard it is judged to brake.

The way to standstill holds the time in which the brake closes, so that the retardation
by it is the least that it can have been.
"""

from collections.abc import Iterator

from inspections.assessment import field_tests, margins
from inspections.assessment.draft import Draft
from inspections.assessment.field_tests import CaseRun
from inspections.engineering import traction
from inspections.engineering.case_result import CaseResult
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.source import Certainty
from inspections.engineering.suspension import Suspension, TractionRules
from inspections.inputs import Snapshot, is_unconfirmed
from inspections.inputs.last_visit import of_last_visit
from inspections.models import Grade
from inspections.reasons import Code, Quantity, Term, Topic, because

# Speed and way are read by hand: what is a tenth harder is no more than their scatter;
# our rule.
SCATTER = 0.1


def findings(
    snapshot: Snapshot,
    *,
    groove: TurnedGroove,
    hung: Suspension,
    rules: TractionRules,
    judged_m_s2: float,
    depth_mm: float,
) -> Iterator[Draft]:
    """Yield that the car was slowed harder than its braking is judged by.

    Where a braking case closes as judged and not as it was slowed, whether it does is
    not known until somebody registers how the machine brakes.

    judged_m_s2 : the hardest braking that is judged [m/s²]
    Raises OutsideValidity for a machine that cannot be.
    """
    run = _hardest(snapshot)
    read_m_s2 = _slowed(run) if run else 0.0
    if run is None or read_m_s2 <= judged_m_s2 * (1.0 + SCATTER):
        return
    harder = traction.braking_harder(rules=rules, retardation_m_s2=read_m_s2)
    as_judged, as_slowed = (
        margins.least_of(
            hung, groove=groove, rules=each, depth_mm=depth_mm, counts=_is_braking
        )
        for each in (rules, harder)
    )
    reason = because(
        Code.BRAKING_DIFFERS,
        read=Quantity(read_m_s2, "m/s²"),
        judged=Quantity(judged_m_s2, "m/s²"),
    )
    grade = Grade.IN_ORDER
    if as_slowed < 0.0:
        opens = because(Code.BRAKING_OPENS, margin=as_slowed)
        reason = reason.with_also(opens)
        grade = Grade.NOT_ASSESSED if as_judged >= 0.0 else Grade.KEEP_AN_EYE_ON
    yield Draft(
        topic=Topic.REGISTER,
        grade=grade,
        rule=Term.AGREES_WITH_REGISTER,
        source="rule of this program, no source: a tenth over what is judged by",
        how_sure=Certainty.COMMON_PRACTICE,
        reason=reason,
        readings=(run.reading.pk,),
        unconfirmed=is_unconfirmed(run.reading),
        detail={
            "retardation_m_s2": read_m_s2,
            "judged_m_s2": judged_m_s2,
            "least_margins": [as_judged, as_slowed],
        },
    )


def _hardest(snapshot: Snapshot) -> CaseRun | None:
    """Return the run that slowed most of the last visit; a brake is set anew."""
    runs = {
        run.reading.pk: run
        for each in field_tests.runs_by_case(snapshot).values()
        for run in each
        if run.answer is not None and run.answer.retardation_m_s2 is not None
    }
    read = list(snapshot.of_kind(field_tests.KIND))
    last = of_last_visit([r for r in read if r.pk in runs]) if runs else []
    return max((runs[r.pk] for r in last), key=_slowed, default=None)


def _slowed(run: CaseRun) -> float:
    found = run.answer.retardation_m_s2 if run.answer else None
    return found or 0.0


def _is_braking(case: CaseResult) -> bool:
    return case.case.is_braking
