"""Numbers of broken wires known exactly, between bounds or not at all."""

from dataclasses import dataclass
from functools import cached_property
from math import ceil, inf

from inspections.engineering.discard.observation import BreakCount, Window
from inspections.reasons import Term
from inspections.records import made_by_slots

# A length of 30 d holds five windows of 6 d.
_WINDOWS_IN_30_D = 5
# What is missing where it was counted over a length too long for a lay.
_NOT_30_D = {
    Term.BREAKS_IN_LAY: Term.BREAKS_IN_LAY_NOT_30_D,
    Term.BREAKS_OF_STRAND: Term.BREAKS_OF_STRAND_NOT_30_D,
    Term.BREAKS_OF_TWO_STRANDS: Term.BREAKS_OF_TWO_STRANDS_NOT_30_D,
    Term.ADJACENT_BREAKS: Term.ADJACENT_BREAKS_NOT_30_D,
    Term.VALLEY_BREAKS: Term.VALLEY_BREAKS_NOT_30_D,
}


@made_by_slots
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


def in_lay(*, counted: BreakCount, number: int | None, what: Term) -> Count:
    """Return a count as it stands for one lay.

    A count over 30 d bounds the count in a lay on both sides: some 6 d of it hold a
    fifth of the breaks or more.

    Parameters
    ----------
    counted : the count, for its window
    number : the number counted in that window [wires], None if not seen
    what : what was to be counted

    Raises nothing.

    Source: a lay is about 6.5 d (ISO 4344 practice), so 6 d stands for a lay; the
    fifth is derived.

    >>> long = BreakCount(window=Window.THIRTY_DIAMETERS)
    >>> in_lay(counted=long, number=9, what=Term.VALLEY_BREAKS).low
    2
    """
    if number is None:
        return Count(low=0.0, high=inf, missing=what)
    if counted.window is Window.THIRTY_DIAMETERS:
        low = ceil(number / _WINDOWS_IN_30_D)
        return Count(low=low, high=number, missing=_NOT_30_D[what])
    return Count(low=number, high=number, missing=what)


def total(*, counted: BreakCount) -> Count:
    """Return the number of broken wires in the worst lay.

    Parameters
    ----------
    counted : the count; a part above its total counts as the total

    Raises nothing.

    Source: own bookkeeping.

    >>> total(counted=BreakCount(total=7)).high
    7
    >>> total(counted=BreakCount(total=7, adjacent=9)).low
    9
    """
    words, least = Term.BREAKS_IN_LAY, counted.least_total
    if counted.total is not None or least is None:
        return in_lay(counted=counted, number=least, what=words)
    return Count(
        low=in_lay(counted=counted, number=least, what=words).low,
        high=inf,
        missing=words,
    )


def worst_strand(*, counted: BreakCount, strands: int | None) -> Count:
    """Return the number of broken wires in the worst strand of the worst lay.

    Not counted strand by strand, it lies between the total shared by all strands and
    the whole total.

    Parameters
    ----------
    counted : the count
    strands : number of outer strands [-], None if not known

    Raises nothing.

    Source: own derivation.

    >>> found = worst_strand(counted=BreakCount(total=9), strands=8)
    >>> found.low, found.high
    (2, 9)
    """
    return _of_one(counted, strands, whole=total(counted=counted))


def _of_one(counted: BreakCount, strands: int | None, *, whole: Count) -> Count:
    what = Term.BREAKS_OF_STRAND
    # Adjacent broken wires lie in one strand, and of two strands one has half or more.
    parts = (counted.adjacent or 0, ceil((counted.two_worst_strands or 0) / 2))
    least = in_lay(counted=counted, number=max(parts), what=what).low
    shared = ceil(whole.low / strands) if strands else min(whole.low, 1.0)
    low = max(least, shared)
    if counted.worst_strand is None:
        return Count(low=low, high=whole.high, missing=what)
    return _raised(counted, counted.worst_strand, low, what)


def _raised(counted: BreakCount, number: int, low: float, what: Term) -> Count:
    """A number as counted, raised to what the others make of it."""
    found = in_lay(counted=counted, number=number, what=what)
    return Count(
        low=max(found.low, low), high=max(found.high, low), missing=found.missing
    )


def two_strands(*, counted: BreakCount, strands: int | None) -> Count:
    """Return the number of broken wires in the two worst strands of the worst lay.

    Parameters
    ----------
    counted : the count
    strands : number of outer strands [-], None if not known

    Raises nothing.

    Source: own derivation: at least the worst strand and a share of the rest, at most
    twice the worst strand.

    >>> found = two_strands(counted=BreakCount(total=9, worst_strand=5), strands=8)
    >>> found.low, found.high
    (6, 9)
    """
    return _of_two(
        counted,
        strands,
        one=worst_strand(counted=counted, strands=strands),
        whole=total(counted=counted),
    )


def _of_two(
    counted: BreakCount, strands: int | None, *, one: Count, whole: Count
) -> Count:
    what = Term.BREAKS_OF_TWO_STRANDS
    low = one.low
    if strands and strands > 1:
        # The worst strand may hold more; then the two hold no less.
        low = max(low, ceil(2 * whole.low / strands))
        if one.high < inf:
            low = max(low, one.low + ceil((whole.low - one.high) / (strands - 1)))
    if counted.two_worst_strands is not None:
        return _raised(counted, counted.two_worst_strands, low, what)
    return Count(low=low, high=min(2 * one.high, whole.high), missing=what)


class Numbers:
    """What one count of broken wires says of a lay, each number worked out once.

    Parameters
    ----------
    counted : the count
    strands : number of outer strands [-], None if not known

    Raises nothing.

    Source: own bookkeeping.

    >>> Numbers(counted=BreakCount(total=9), strands=8).one.low
    2
    """

    def __init__(self, *, counted: BreakCount, strands: int | None) -> None:
        self.counted = counted
        self._strands = strands

    @cached_property
    def whole(self) -> Count:
        """The broken wires of the worst lay."""
        return total(counted=self.counted)

    @cached_property
    def one(self) -> Count:
        """Those of its worst strand."""
        return _of_one(self.counted, self._strands, whole=self.whole)

    @cached_property
    def two(self) -> Count:
        """Those of its two worst strands."""
        return _of_two(self.counted, self._strands, one=self.one, whole=self.whole)

    @cached_property
    def adjacent(self) -> Count:
        """Those that lie side by side."""
        number, what = self.counted.adjacent, Term.ADJACENT_BREAKS
        return in_lay(counted=self.counted, number=number, what=what)

    @cached_property
    def valley(self) -> Count:
        """Those in the valleys between strands."""
        number, what = self.counted.valley, Term.VALLEY_BREAKS
        return in_lay(counted=self.counted, number=number, what=what)
