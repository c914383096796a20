"""A named bundle of limits, and what can be asked of it."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from inspections.engineering.criteria.catalogue import DEFINITIONS, row
from inspections.engineering.limit import Limit
from inspections.engineering.source import Source
from inspections.engineering.traction.rules import TractionRules
from inspections.reasons import Code, Criterion, Reason, because

# An inch size written in millimetres may be off by this much.
_SAME_NOMINAL_MM = 0.1


class DiameterRule(StrEnum):
    """Which of two diameters at right angles is held against the limit."""

    SMALLER = "the smaller of two directions"
    LARGER = "both directions must be past the limit"


class Family(StrEnum):
    """The family of codes a set belongs to."""

    EN = "EN 81"
    A17 = "ASME A17"
    GB = "GB 7588"
    JAPAN = "Building Standards Act of Japan"
    HOIST = "not a lift code, for comparison"


@dataclass(frozen=True, slots=True, kw_only=True)
class CriteriaSet:
    """Limits, traction rules and dates under one code. Nothing in it is "the law"."""

    code: str
    title: str
    family: Family
    installed_from: date | None
    installed_before: date | None
    diameter_rule: DiameterRule
    traction: TractionRules
    source: Source
    limits: tuple[Limit, ...]
    by_key: Mapping[str, tuple[Limit, ...]] = field(
        init=False, repr=False, compare=False
    )
    # What was looked up, by key and rope: the same rows are asked for by each rope.
    asked: dict[Hashable, Limit] = field(init=False, repr=False, compare=False)
    # Its gaps, once they were asked for.
    found_gaps: "tuple[SetGap, ...] | None" = field(
        init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        """Sort the limits by key, as they are asked for."""
        rows: dict[str, list[Limit]] = {}
        for each in self.limits:
            rows.setdefault(each.key, []).append(each)
        by_key = {key: tuple(own) for key, own in rows.items()}
        object.__setattr__(self, "by_key", by_key)
        object.__setattr__(self, "asked", {})
        object.__setattr__(self, "found_gaps", None)

    @property
    def comparison_only(self) -> bool:
        """Return whether the set is not written for lifts."""
        return self.family is Family.HOIST


@dataclass(frozen=True, slots=True, kw_only=True)
class SetGap:
    """A limit of the closed list that a set does not have."""

    key: str
    name: str
    words: str
    unit: str
    reason: Reason


def lookup(
    *,
    criteria_set: CriteriaSet,
    key: str,
    strands: int | None = None,
    nominal_mm: float | None = None,
) -> Limit:
    """Return the limit of a set for one rope; a limit without a value is a gap.

    Parameters
    ----------
    criteria_set : the set
    key : a key of the closed list
    strands : number of outer strands of the rope [-], None if not known
    nominal_mm : d, nominal rope diameter [mm], None if not known

    Raises KeyError for a key outside the closed list.

    Source: own bookkeeping; the limit carries its own source.

    >>> from inspections.engineering import criteria
    >>> japan = criteria.find(code="MLIT_283")
    >>> lookup(criteria_set=japan, key="breaks_even", strands=8).value
    32.0
    """
    asked = (key, strands, nominal_mm)
    found = criteria_set.asked.get(asked)
    if found is None:
        found = criteria_set.asked[asked] = _look_up(
            criteria_set, key, strands, nominal_mm
        )
    return found


def _look_up(
    criteria_set: CriteriaSet,
    key: str,
    strands: int | None,
    nominal_mm: float | None,
) -> Limit:
    if key not in DEFINITIONS:
        raise KeyError(key)
    candidates = criteria_set.by_key.get(key, ())
    for each in candidates:
        if _fits(each, strands=strands, nominal_mm=nominal_mm):
            return each
    if not candidates:
        gap = because(
            Code.NO_LIMIT_IN_SET, set=criteria_set.code, criterion=Criterion(key)
        )
    else:
        rows = tuple(each.name for each in candidates)
        gap = because(Code.NO_ROW_FOR_ROPE, set=criteria_set.code, rows=rows)
    return row(
        key=key,
        value=None,
        source=criteria_set.source,
        strands=strands if any(each.strands for each in candidates) else None,
        nominal_mm=nominal_mm if any(each.nominal_mm for each in candidates) else None,
        gap=gap,
    )


def gaps(*, criteria_set: CriteriaSet) -> tuple[SetGap, ...]:
    """Return what the set does not say, in the order of the closed list.

    Parameters
    ----------
    criteria_set : the set

    Raises nothing.

    Source: own bookkeeping.

    >>> from inspections.engineering import criteria
    >>> newer = criteria.find(code="ASME_A17_6")
    >>> [each.name for each in gaps(criteria_set=newer)][0]
    'safety_factor_three_ropes'
    """
    if criteria_set.found_gaps is None:
        object.__setattr__(criteria_set, "found_gaps", _find_gaps(criteria_set))
    return criteria_set.found_gaps or ()


def _find_gaps(criteria_set: CriteriaSet) -> tuple[SetGap, ...]:
    present = criteria_set.by_key
    missing = []
    for key, meaning in DEFINITIONS.items():
        if key not in present:
            missing.append(
                SetGap(
                    key=key,
                    name=key,
                    words=meaning.words,
                    unit=meaning.unit,
                    reason=because(Code.SET_PRINTS_NO_LIMIT),
                )
            )
        missing.extend(
            SetGap(
                key=each.key,
                name=each.name,
                words=each.words,
                unit=each.unit,
                reason=each.why_open
                if each.gap or each.note
                else because(Code.TO_BE_ENTERED),
            )
            for each in present.get(key, ())
            if each.value is None
        )
    return tuple(missing)


def _fits(limit: Limit, *, strands: int | None, nominal_mm: float | None) -> bool:
    if limit.strands is not None and limit.strands != strands:
        return False
    if limit.nominal_mm is None:
        return True
    if nominal_mm is None:
        return False
    return abs(limit.nominal_mm - nominal_mm) <= _SAME_NOMINAL_MM
