"""By which day people plan in a draw: P2 as they know the wear by then.

Wear is taken to go on by independent steps of one rate, its variance growing with time
as a Brownian motion's with drift: of a life 1 that begins with a spread s of the
logarithm of its rate, and whose steps leave a spread c where the rate is known, what is
open after a share p of it is

    V(p) = c^2 (1 - p) + (1 - p)^2 / (1 / s^2 + p / c^2)

The first term is what the steps to come add. The second is the rate: what is read of it
adds up in precisions, and what is left of it counts over the rest of the life. First
principles (normal prior, normal steps); that wear goes so is our rule.

A date's deviate z is then split in two independent ones: what will have been read by
the time the order goes out, and what is open still, with the share
k^2 = V(then) / V(now) of the variance. P2 then lies 2.05 k below what was read. So the
limit is reached before that day with a chance of 2 % whatever k is; a k of 1 is P2 as
it is today.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
P2 = 2.0537489106318230
"""Normal deviate that is exceeded with a chance of 2 %."""
SHARES = np.linspace(1.0, 0.0, 41)
"""Shares of a spread that may be open still, at which a planning date is tried."""
_TINY = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Learning:
    """How a life's end comes to be known.

    spread : of the logarithm of a rate that nobody has read
    unevenness : spread of a life whose rate is known, in shares of it
    """

    spread: float
    unevenness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurable:
    """One thing of a machine that could be measured, and that blurs dates.

    shares : of the variance of each limit's date, by the limit's key
    is_known : whether it has been measured when work is planned
    """

    shares: Mapping[str, float]
    is_known: bool


def still_open(*, used: Floats, learning: Learning) -> Floats:
    """Return the variance V of a life when shares of it have passed.

    used : shares (n,) from 0 to 1

    Example
    -------
    >>> given = Learning(spread=0.3, unevenness=0.1)
    >>> still_open(used=np.array([0.0, 0.5]), learning=given).round(4).tolist()
    [0.1, 0.0091]
    """
    return _still_open(used, learning.unevenness**2, 1.0 / learning.spread**2)


def _still_open(used: Floats, steps: Floats | float, known: Floats | float) -> Floats:
    """Return V; `steps` is c^2, `known` the precision 1 / s^2 of the rate as new."""
    left = 1.0 - used
    rate = 1.0 / (known + used / steps)
    found: Floats = steps * left + left**2 * rate
    return found


def shares_open(
    *,
    used: Floats,
    middle: Floats,
    planned: Floats,
    lead_years: float,
    learning: Sequence[Learning],
) -> Floats:
    """Return k of places (K,), the share of today's spread that is open at the order.

    used : share of each life that has passed
    middle : median years until the limit is reached
    planned : (K, shares) years until the planning date where each of `SHARES` is open
        and what is read lies in the middle
    lead_years : from order to work

    From 1, which is P2 of today, down to where the planning date and what is read by
    the day of its order agree: as long as reading on leaves less open, people read on.
    """
    sure, found = middle <= 0.0, np.ones(used.size)
    ordered = (planned - lead_years) / np.where(sure, 1.0, middle)[:, None]
    passed = used[:, None] + (1.0 - used[:, None]) * np.clip(ordered, 0.0, 1.0)
    steps = np.array([each.unevenness**2 for each in learning])[:, None]
    known = np.array([1.0 / each.spread**2 for each in learning])[:, None]
    now = _still_open(used[:, None], steps, known)[:, 0]
    then = _still_open(passed, steps, known)
    sure |= now < _TINY
    left = then / np.where(sure, 1.0, now)[:, None]
    less = SHARES - np.minimum(np.sqrt(left), 1.0)
    # The first share from 1 down at which nothing more is learnt before the order.
    agree = less <= 0.0
    first = np.where(agree.any(axis=1), np.argmax(agree, axis=1), SHARES.size - 1)
    for row in np.flatnonzero(~sure & (first > 0)):
        at = int(first[row])
        over, under = float(less[row, at - 1]), max(-float(less[row, at]), 0.0)
        step = float(SHARES[at - 1] - SHARES[at])
        found[row] = float(SHARES[at]) + step * under / (over + under)
    return found


def told(z: Floats, read: Floats, k: float | Floats) -> Floats:
    """Return the deviates of the planning date (draws,), or (places, draws).

    z : deviates of the day the limit is reached
    read : independent deviates, of what readings show
    k : share of the spread that is open when it is told, or (places, 1) of them

    Example
    -------
    >>> told(np.array([0.5]), np.array([0.0]), 1.0).round(2).tolist()
    [-2.05]
    """
    known = np.sqrt(1.0 - k * k)
    found: Floats = known * (known * z + k * read) - P2 * k
    return found


def beside(z: Floats, blur: Floats, share: float) -> Floats:
    """Return deviates (draws,) of which a share of the variance is one unknown's."""
    found: Floats = sqrt(share) * blur + sqrt(1.0 - share) * z
    return found


def told_beside(
    z: Floats, read: Floats, k: float, blur: Floats, share: float, *, is_known: bool
) -> Floats:
    """Return the deviates of the planning date beside one unknown (draws,).

    z, read, k : as in `told`, of all but the unknown
    blur, share : the unknown's deviates, and its share of the date's variance
    is_known : whether it has been measured by then; no reading of wear tells it

    Measured or not, the limit is reached before that day with a chance of 2 %.
    """
    if is_known:
        return beside(told(z, read, k), blur, share)
    known = sqrt(1.0 - k * k)
    still = sqrt(share + (1.0 - share) * k * k)
    found: Floats = sqrt(1.0 - share) * known * (known * z + k * read) - P2 * still
    return found
