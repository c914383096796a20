"""Which work is taken to answer what has run out, and what each work costs."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inspections.decisions.future.knowing import Floats
from inspections.decisions.records import Offer, OptionKind, Possible

KINDS = tuple(OptionKind)
NUMBER = {kind: number for number, kind in enumerate(KINDS)}
_CUTS = (OptionKind.REGROOVE_IN_PLACE, OptionKind.REGROOVE_IN_SHOP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What is done on one machine when its grooves are used up.

    cut : the cheaper of the cuts that are known to fit; None where none is
    cuts : how many of them, one after the other
    renewal : what is done once no cut fits any more
    """

    cut: OptionKind | None
    cuts: int
    renewal: OptionKind


def answers_of(*, offers: Sequence[Offer]) -> Answers:
    """Return what the grooves of a machine are renewed by.

    A cut of which it is not known whether it fits is taken not to fit: the dearer
    course, so that a sum of money is not too small for want of a reading.
    """
    by_kind = {offer.kind: offer for offer in offers}
    cuts = [
        by_kind[kind]
        for kind in _CUTS
        if kind in by_kind and by_kind[kind].possible is Possible.YES
    ]
    rim = by_kind.get(OptionKind.RENEW_RIM)
    renewable = rim is not None and rim.possible is Possible.YES
    renewal = OptionKind.RENEW_RIM if renewable else OptionKind.REPLACE_SHEAVE
    if not cuts:
        return Answers(cut=None, cuts=0, renewal=renewal)
    best = min(cuts, key=_cost)
    return Answers(cut=best.kind, cuts=1 + (best.further_cuts or 0), renewal=renewal)


def _cost(offer: Offer) -> tuple[float, int]:
    mid = offer.cost.mid
    return (float("inf") if mid is None else mid, NUMBER[offer.kind])


def bands(*, offers: Sequence[Sequence[Offer]]) -> Floats:
    """Return low, likely and high cost (3, machines, kinds); NaN where not estimated.

    Raises nothing; a kind without an offer is not estimated.
    """
    found = np.full((3, len(offers), len(KINDS)), np.nan)
    for row, of_machine in enumerate(offers):
        for offer in of_machine:
            cost = offer.cost
            if cost.mid is not None:
                column = NUMBER[offer.kind]
                found[:, row, column] = (cost.low, cost.mid, cost.high)
    return found


def priced(*, low: Floats, mid: Floats, high: Floats, uniform: Floats) -> Floats:
    """Return draws of a cost between low and high, most often near mid.

    The triangular distribution's inverse, as in any handbook of statistics.
    """
    width = high - low
    safe = np.where(width > 0.0, width, 1.0)
    share = (mid - low) / safe
    rising = low + np.sqrt(uniform * width * (mid - low))
    falling = high - np.sqrt((1.0 - uniform) * width * (high - mid))
    found: Floats = np.where(uniform < share, rising, falling)
    return np.where(width > 0.0, found, mid)
