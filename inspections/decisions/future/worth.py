"""What is left at the horizon of the works done before it."""

import numpy as np

from inspections.decisions.future.answers import KINDS, NUMBER
from inspections.decisions.future.groups import Integers
from inspections.decisions.future.knowing import Floats
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.records import OptionKind

_GROOVES = np.array([kind.renews_grooves for kind in KINDS])
_ROPES = np.array([kind.renews_ropes for kind in KINDS])
_RE_ROPE, _SHORTEN = NUMBER[OptionKind.RE_ROPE], NUMBER[OptionKind.SHORTEN]


def left(*, by: Integers, shares: Floats, prices: Floats) -> Floats:
    """Return what is left of works (rows, draws), in money; our rule.

    by, shares : the kind that last renewed each group (groups, rows, draws), -1 for
        none, and the share of its life that is left
    prices : of kinds (kinds, draws), NaN where not known

    New ropes are worth a re-roping, whatever work they came with; the rest of a work on
    the grooves lasts as long as the seats. Where no price of a re-roping is known, all
    of it lasts as long as the shorter of both. A part that nothing renewed counts
    nothing, nor do cuts that a new rim allows later.
    """
    seats, ropes, runby = (
        shares[g] for g in (EndsTogether.SEATS, EndsTogether.ROPES, EndsTogether.RUNBY)
    )
    by_seats, by_ropes = by[EndsTogether.SEATS], by[EndsTogether.ROPES]
    paid = _paid(by_ropes, prices)
    found = np.where(_ROPES[by_ropes], ropes * _rope_part(paid, prices), 0.0)
    paid = _paid(by_seats, prices)
    split = ~np.isnan(prices[_RE_ROPE])
    lasting = np.where(split, seats, np.minimum(seats, ropes))
    rest = lasting * (paid - _rope_part(paid, prices))
    found += np.where(_GROOVES[by_seats], rest, 0.0)
    shortened = by[EndsTogether.RUNBY] == _SHORTEN
    found += np.where(shortened, runby * np.nan_to_num(prices[_SHORTEN]), 0.0)
    return found


def _paid(by: Integers, prices: Floats) -> Floats:
    found: Floats = np.take_along_axis(np.nan_to_num(prices), np.maximum(by, 0), axis=0)
    return np.where(by >= 0, found, 0.0)


def _rope_part(paid: Floats, prices: Floats) -> Floats:
    found: Floats = np.minimum(np.nan_to_num(prices[_RE_ROPE]), paid)
    return found
