"""How broken wires lie among the strands, and what follows if nobody looked.

Two printed limits hang on it: on the whole lay where one or two strands predominate,
and on one strand where the breaks are spread evenly. Taken by the letter they reward
further breaks: nine of seventeen in two strands predominate, nine of eighteen do not.
So with the strands counted each limit is tested for every number of breaks up to the
one counted: what had to be renewed with seventeen has to be with eighteen.
"""

from dataclasses import dataclass

from inspections.engineering.discard import count as counts
from inspections.engineering.discard.count import Count
from inspections.engineering.discard.observation import (
    BreakCount,
    Distribution,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """What the two limits are held against if the breaks lie in one way.

    Parameters
    ----------
    predominant : greatest number of breaks up to the one counted of which more than
        half lie in two strands [wires]
    even : greatest number of breaks in one strand, up to the ones counted, that still
        lie evenly [wires]; all of the strand at most, so that a strand past its limit
        among breaks that predominate is never in order
    stated : whether strands predominate by all that is known

    Raises nothing; spreads_of makes it.

    Source: own derivation.

    >>> from inspections.reasons import Term
    >>> nine = Count(low=9, high=9, missing=Term.BREAKS_LIE)
    >>> Spread(predominant=nine, even=nine, stated=True).stated
    True
    """

    predominant: Count
    even: Count
    stated: bool


def spreads_of(*, counted: BreakCount, strands: int | None) -> tuple[Spread, ...]:
    """Return the ways in which the breaks may lie: one where it is known, else two.

    Parameters
    ----------
    counted : the count
    strands : number of outer strands [-], None if not known

    Strands that were counted say more than a word. "Predominate" is taken as more than
    half of the breaks in two strands.

    Raises nothing.

    Source: own derivation; the half is common practice, no source.

    >>> both = spreads_of(counted=BreakCount(total=18, two_worst_strands=9), strands=8)
    >>> [each.predominant.low for each in both]
    [17]
    """
    whole = counts.total(counted=counted)
    one = counts.worst_strand(counted=counted, strands=strands)
    two = counts.two_strands(counted=counted, strands=strands)
    exact = counted.two_worst_strands is not None and two.low == two.high
    word = counted.distribution
    if exact:
        return (_by_strands(whole, one, two, word),)
    found = []
    if word is not Distribution.EVEN and 2 * two.high > whole.low:
        most = 2 * two.high - 1 if word is None else whole.high
        found.append(_predominant(whole, one, two, most=most))
    if word is not Distribution.PREDOMINANT and not 2 * two.low > whole.high:
        found.append(_even(counted, whole, one))
    return tuple(found) or (_predominant(whole, one, two, most=whole.high),)


def _by_strands(
    whole: Count, one: Count, two: Count, word: Distribution | None
) -> Spread:
    """Both limits by counted strands, for every number up to the ones counted."""
    most = max(2 * two.low - 1, 0)
    low, high = min(whole.low, most), min(whole.high, most)
    if word is Distribution.PREDOMINANT:
        low, high = whole.low, whole.high
    rest = whole.low - two.low
    return Spread(
        predominant=Count(low=low, high=high, missing=whole.missing),
        even=Count(
            low=one.low if rest >= two.low else min(one.low, rest),
            high=one.high,
            missing=one.missing,
        ),
        stated=2 * two.low > whole.low or word is Distribution.PREDOMINANT,
    )


def _predominant(whole: Count, one: Count, two: Count, *, most: float) -> Spread:
    least = min(one.low, max(whole.low - two.high, 0))
    return Spread(
        predominant=Count(
            low=min(whole.low, most),
            high=min(whole.high, most),
            missing=whole.missing,
        ),
        even=Count(low=least, high=one.high, missing=one.missing),
        stated=True,
    )


def _even(counted: BreakCount, whole: Count, one: Count) -> Spread:
    """Evenly by word or for want of one; a strand that was counted still says so."""
    sure = 0.0
    if counted.worst_strand is not None:
        sure = min(whole.low, max(2 * one.low - 1, 0))
    return Spread(
        predominant=Count(low=sure, high=sure, missing=whole.missing),
        even=one,
        stated=False,
    )
