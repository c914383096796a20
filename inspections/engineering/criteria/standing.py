"""What a computed traction margin is worth beside a field test."""

from dataclasses import dataclass
from datetime import date

from inspections.engineering.criteria.criteria_set import CriteriaSet
from inspections.engineering.criteria.traction_terms import traction_source
from inspections.engineering.limit import Stage
from inspections.engineering.validity import require_finite
from inspections.engineering.verdict import Outcome, Verdict
from inspections.reasons import Code, Reason, because


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTest:
    """A traction test on the machine itself.

    `stale` is true when the seat, the ropes or the masses changed since: a stale pass
    decides nothing, a stale failure stands until a test is passed.
    """

    passed: bool
    tested_on: date
    stale: bool = False


def traction_standing(
    *,
    criteria_set: CriteriaSet,
    margin: float | None,
    field_test: FieldTest | None = None,
) -> Verdict:
    """Return the verdict on traction from the computed margin and the field test.

    A failed test outranks any computed pass. A passed test never outranks a
    calculation of the set's own family that does not close; where the method is
    borrowed the test alone decides and the calculation is shown as information.

    Parameters
    ----------
    criteria_set : the set, whose traction terms say whether the method is borrowed
    margin : least computed margin over the cases [-], positive is good, None if it
        could not be computed
    field_test : the latest test, None if none is known

    Raises OutsideValidity for a margin that is not a finite number.

    Source: own rule; EN 81-50:2014, 5.11 prints a method, ASME A17.1 prints none.

    >>> from inspections.engineering import criteria
    >>> failed = FieldTest(passed=False, tested_on=date(2024, 5, 2))
    >>> traction_standing(criteria_set=criteria.find(code="EN_81_20"),
    ...                   margin=0.2, field_test=failed).outcome
    <Outcome.MET: 'met'>
    """
    if margin is not None:
        require_finite(margin=margin)
    outcome, reason = _decide(
        borrowed=criteria_set.traction.borrowed, margin=margin, test=field_test
    )
    return Verdict(
        criterion="traction",
        outcome=outcome,
        value=margin,
        limit=0.0,
        margin=margin,
        unit="-",
        stage=Stage.LIMIT,
        source=traction_source(rules=criteria_set.traction),
        reason=reason,
    )


def _decide(
    *, borrowed: bool, margin: float | None, test: FieldTest | None
) -> tuple[Outcome, Reason]:
    computed = _computed(margin)
    if test is not None and not test.passed:
        failed = because(Code.TEST_FAILED, tested_on=test.tested_on)
        return Outcome.MET, failed.with_also(computed)
    if borrowed:
        return _decide_borrowed(test, computed)
    if margin is None:
        return Outcome.NOT_ASSESSED, computed
    if margin < 0.0:
        return Outcome.MET, computed.with_also(because(Code.TEST_CHANGES_NOTHING))
    return Outcome.NOT_MET, computed


def _decide_borrowed(
    test: FieldTest | None, computed: Reason
) -> tuple[Outcome, Reason]:
    borrowed = because(Code.BORROWED_METHOD, computed=computed)
    if test is None:
        return Outcome.NOT_ASSESSED, because(Code.TEST_NOT_KNOWN).with_also(borrowed)
    if test.stale:
        stale = because(Code.TEST_STALE, tested_on=test.tested_on)
        return Outcome.NOT_ASSESSED, stale.with_also(borrowed)
    decides = because(Code.TEST_DECIDES, tested_on=test.tested_on)
    return Outcome.NOT_MET, decides.with_also(borrowed)


def _computed(margin: float | None) -> Reason:
    if margin is None:
        return because(Code.CALCULATION_NOT_MADE)
    if margin >= 0.0:
        return because(Code.CALCULATION_CLOSES, margin=margin)
    return because(Code.CALCULATION_DOES_NOT_CLOSE, margin=margin)
