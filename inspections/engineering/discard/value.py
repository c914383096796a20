"""One value held against one limit of a set, by the limit's key."""

from inspections.engineering.criteria import CriteriaSet, lookup
from inspections.engineering.validity import require_finite
from inspections.engineering.verdict import Item, Verdict, judge, not_assessed
from inspections.reasons import Term
from inspections.reasons import missing as lacks


def judge_value(
    *,
    criteria_set: CriteriaSet,
    key: str,
    value: float | None,
    missing: Item = Term.READING,
    strands: int | None = None,
    nominal_mm: float | None = None,
) -> Verdict:
    """Return the verdict on any limit of the closed list.

    Parameters
    ----------
    criteria_set : the set that holds
    key : a key of the closed list
    value : the value [unit of the key], None if it is not known
    missing : what is missing where the value is not known
    strands : number of outer strands of the rope [-], None if not known
    nominal_mm : d, nominal rope diameter [mm], None if not known

    Raises KeyError for a key outside the closed list, OutsideValidity for a value that
    is not a finite number.

    Source: the limit carries its own.

    >>> from inspections.engineering import criteria
    >>> judge_value(criteria_set=criteria.find(code="EN_81_20"),
    ...             key="bottom_clearance_least", value=0.4).outcome
    <Outcome.MET: 'met'>
    """
    limit = lookup(
        criteria_set=criteria_set, key=key, strands=strands, nominal_mm=nominal_mm
    )
    if value is not None:
        require_finite(**{key: value})
    if limit.value is None:
        return not_assessed(limit=limit, value=value, reason=limit.why_open)
    if value is None:
        return not_assessed(limit=limit, value=None, reason=lacks(missing))
    return judge(limit=limit, value=value)
