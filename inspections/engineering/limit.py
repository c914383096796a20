"""One limit of a criteria set: its value, unit, side and source."""

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from inspections.engineering.source import Source
from inspections.reasons import (
    Code,
    Criterion,
    Reason,
    UnknownTerm,
    because,
    criterion_of,
    note,
)
from inspections.reasons.reason import Named
from inspections.reasons.serial import term_of

# The share of a limit by which a value that equals it may seem to differ.
_EQUAL = 1e-9


class Bound(StrEnum):
    """The side of a limit on which a value is in order."""

    AT_MOST = "at most"
    BELOW = "below"
    AT_LEAST = "at least"
    ABOVE = "above"


class Stage(StrEnum):
    """What a limit asks for when it is passed."""

    LIMIT = "limit"
    WATCH = "watch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit. A value of None is a gap: the set has the rule, not the number.

    `strands` and `nominal_mm` say for which ropes the row holds; None is for all.
    `replaces` keeps the printed row beside a value that a contractor entered; `gap`
    says why there is no value.
    """

    key: str
    words: str
    value: float | None
    unit: str
    bound: Bound
    stage: Stage
    source: Source
    strands: int | None = None
    nominal_mm: float | None = None
    note: str = ""
    gap: Reason | None = None
    replaces: "Limit | None" = None

    @property
    def term(self) -> Criterion | UnknownTerm:
        """Return what is limited, as a reason names it."""
        return criterion_of(self.key) or UnknownTerm(self.words)

    @property
    def rule(self) -> Named:
        """Return what is limited, whatever rope the row is for."""
        return term_of(self.key)

    @property
    def why_open(self) -> Reason:
        """Return why the row has no value."""
        if self.gap is not None:
            return self.gap
        return note(self.note) if self.note else because(Code.NO_NUMBER)

    @property
    def name(self) -> str:
        """Return the name by which the row is listed and overridden."""
        return _name(self.key, self.strands, self.nominal_mm)


@lru_cache(maxsize=4096)
def _name(key: str, strands: int | None, nominal_mm: float | None) -> str:
    of_strands = f"/{strands}" if strands is not None else ""
    nominal = f"@{nominal_mm:g}" if nominal_mm is not None else ""
    return f"{key}{of_strands}{nominal}"


def margin(*, limit: Limit, value: float) -> float | None:
    """Return how far a value is on the good side of a limit; None for a gap.

    Parameters
    ----------
    limit : the limit
    value : the value [unit of the limit]

    Raises nothing. A margin of zero is in order for "at most" and "at least" only. What
    a value differs by as a binary fraction only is no difference: 1.472 of 1.6 is 92 %.

    Source: own definition; positive is good everywhere.

    >>> from inspections.engineering.source import Certainty
    >>> source = Source(document="ISO 4344", certainty=Certainty.CONFIRMED)
    >>> reduction = Limit(
    ...     key="diameter_reduction_nominal", words="loss of diameter", value=6.0,
    ...     unit="%", bound=Bound.AT_MOST, stage=Stage.LIMIT, source=source)
    >>> margin(limit=reduction, value=4.0)
    2.0
    """
    if limit.value is None:
        return None
    over = value - limit.value
    if abs(over) <= _EQUAL * abs(limit.value):
        return 0.0
    return -over if limit.bound in (Bound.AT_MOST, Bound.BELOW) else over


def is_passed(*, limit: Limit, value: float) -> bool | None:
    """Return whether a value passes its limit; None for a gap.

    Parameters
    ----------
    limit : the limit
    value : the value [unit of the limit]

    Raises nothing.

    Source: own definition; "5 or more" is met at 5, "more than 4" at 5 as well.

    >>> from inspections.engineering.source import Certainty
    >>> source = Source(document="WAC 296-155-77105", certainty=Certainty.CONFIRMED)
    >>> six = Limit(
    ...     key="breaks_distributed", words="broken wires", value=6.0, unit="wires",
    ...     bound=Bound.BELOW, stage=Stage.LIMIT, source=source)
    >>> is_passed(limit=six, value=6.0)
    True
    """
    distance = margin(limit=limit, value=value)
    return None if distance is None else is_beyond(limit=limit, margin=distance)


def is_beyond(*, limit: Limit, margin: float) -> bool:
    """Return whether a value with some margin passes its limit.

    Parameters
    ----------
    limit : the limit
    margin : how far the value is on the good side [unit of the limit]

    Raises nothing.

    Source: own definition, as is_passed.

    >>> from inspections.engineering.source import Certainty
    >>> source = Source(document="WAC 296-155-77105", certainty=Certainty.CONFIRMED)
    >>> six = Limit(
    ...     key="breaks_distributed", words="broken wires", value=6.0, unit="wires",
    ...     bound=Bound.BELOW, stage=Stage.LIMIT, source=source)
    >>> is_beyond(limit=six, margin=0.0)
    True
    """
    if limit.bound in (Bound.BELOW, Bound.ABOVE):
        return margin <= 0.0
    return margin < 0.0
