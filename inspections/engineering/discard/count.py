"""Numbers of broken wires known exactly, between bounds or not at all."""

from dataclasses import dataclass
from math import inf

from inspections.engineering.discard.observation import Observation, Window
from inspections.reasons import Term

# What is missing where it was counted over a length too long for a lay.
_NOT_30_D = {
    Term.BREAKS_IN_LAY: Term.BREAKS_IN_LAY_NOT_30_D,
    Term.BREAKS_OF_STRAND: Term.BREAKS_OF_STRAND_NOT_30_D,
    Term.BREAKS_OF_TWO_STRANDS: Term.BREAKS_OF_TWO_STRANDS_NOT_30_D,
    Term.ADJACENT_BREAKS: Term.ADJACENT_BREAKS_NOT_30_D,
    Term.VALLEY_BREAKS: Term.VALLEY_BREAKS_NOT_30_D,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """A number of broken wires that may be known between bounds only.

    Parameters
    ----------
    low : the least it can be [wires]
    high : the greatest it can be [wires], infinite where nothing was counted
    missing : what would settle it
    """

    low: float
    high: float
    missing: Term

    @property
    def unknown(self) -> bool:
        """Return whether nothing at all was counted."""
        return self.low == 0.0 and self.high == inf


def in_lay(*, seen: Observation, count: int | None, what: Term) -> Count:
    """Return a count as it stands for one lay.

    A count over 30 d bounds the count in a lay from above only.

    Parameters
    ----------
    seen : the observation
    count : the number counted in the observation's window [wires], None if not seen
    what : what was to be counted

    Raises nothing.

    Source: a lay is about 6.5 d (ISO 4344 practice), so 6 d stands for a lay.

    >>> seen = Observation(nominal_diameter_mm=13.0, window=Window.THIRTY_DIAMETERS)
    >>> in_lay(seen=seen, count=9, what=Term.VALLEY_BREAKS).low
    0.0
    """
    if count is None:
        return Count(low=0.0, high=inf, missing=what)
    if seen.window is Window.THIRTY_DIAMETERS:
        return Count(low=0.0, high=count, missing=_NOT_30_D[what])
    return Count(low=count, high=count, missing=what)


def total(*, seen: Observation) -> Count:
    """Return the number of broken wires in the worst lay.

    Parameters
    ----------
    seen : the observation

    Raises nothing.

    Source: own bookkeeping.

    >>> total(seen=Observation(nominal_diameter_mm=13.0, breaks_total=7)).high
    7
    """
    return in_lay(seen=seen, count=seen.breaks_total, what=Term.BREAKS_IN_LAY)


def worst_strand(*, seen: Observation) -> Count:
    """Return the number of broken wires in the worst strand of the worst lay.

    Not counted strand by strand, it lies between the total shared by all strands and
    the whole total.

    Parameters
    ----------
    seen : the observation

    Raises nothing.

    Source: own derivation.

    >>> seen = Observation(nominal_diameter_mm=13.0, strands=8, breaks_total=9)
    >>> worst_strand(seen=seen).low, worst_strand(seen=seen).high
    (2, 9)
    """
    what = Term.BREAKS_OF_STRAND
    if seen.breaks_worst_strand is not None or seen.breaks_total is None:
        return in_lay(seen=seen, count=seen.breaks_worst_strand, what=what)
    whole = total(seen=seen)
    shared = -(-whole.low // seen.strands) if seen.strands else min(whole.low, 1.0)
    return Count(low=shared, high=whole.high, missing=what)


def two_strands(*, seen: Observation) -> Count:
    """Return the number of broken wires in the two worst strands of the worst lay.

    Parameters
    ----------
    seen : the observation

    Raises nothing.

    Source: own derivation: at least the worst strand, at most twice that.

    >>> seen = Observation(
    ...     nominal_diameter_mm=13.0, breaks_total=9, breaks_worst_strand=5)
    >>> two_strands(seen=seen).low, two_strands(seen=seen).high
    (5, 9)
    """
    what = Term.BREAKS_OF_TWO_STRANDS
    if seen.breaks_two_worst_strands is not None:
        return in_lay(seen=seen, count=seen.breaks_two_worst_strands, what=what)
    one, whole = worst_strand(seen=seen), total(seen=seen)
    return Count(low=one.low, high=min(2 * one.high, whole.high), missing=what)
