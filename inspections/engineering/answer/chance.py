"""How likely a criterion is beyond, by a simple distribution of what is not known."""

from collections.abc import Sequence
from math import erfc, sqrt
from typing import NamedTuple

_QUANTILES = 40
_PROBABILITIES = tuple((i + 0.5) / _QUANTILES for i in range(_QUANTILES))


class Move(NamedTuple):
    """What one unknown alone does to a margin.

    Parameters
    ----------
    name : name of the unknown
    at_low : change of the margin at its low end [unit of the limit]
    at_high : change of the margin at its high end [unit of the limit]
    low_share : part of its range below the typical value [-], 0 to 1

    Raises nothing.

    Source: own definition.

    >>> Move(name="x", at_low=-0.3, at_high=0.3, low_share=0.5).variance
    0.015
    """

    name: str
    at_low: float
    at_high: float
    low_share: float

    @property
    def mean(self) -> float:
        """Mean change, the unknown being triangular between its ends."""
        high_share = 1.0 - self.low_share
        return (self.low_share * self.at_low + high_share * self.at_high) / 3.0

    @property
    def variance(self) -> float:
        """Variance of the change."""
        return variances(moves=(self,))[0]

    def quantiles(self, *, probabilities: Sequence[float]) -> list[float]:
        """Return the changes at quantiles [-] of the unknown's own distribution."""
        at_low, at_high, low_share = self.at_low, self.at_high, self.low_share
        # 0 where nothing lies above the typical value: no probability is as high.
        high_share = 1.0 - low_share
        return [
            at_low * (1.0 - sqrt(each / low_share))
            if each < low_share
            else at_high * (1.0 - sqrt((1.0 - each) / high_share))
            for each in probabilities
        ]


def variances(*, moves: Sequence[Move]) -> list[float]:
    """Return the variance of what each unknown does to a margin [unit of limit ²].

    Parameters
    ----------
    moves : what each unknown alone does to it [unit of the limit]

    Raises nothing.

    Source: variance of a triangular distribution, whose ends move the margin in line.

    >>> variances(moves=(Move(name="x", at_low=-0.3, at_high=0.3, low_share=0.5),))
    [0.015]
    """
    return [
        (share * low**2 + (1.0 - share) * high**2) / 6.0
        - ((share * low + (1.0 - share) * high) / 3.0) ** 2
        for _, low, high, share in moves
    ]


def chance_beyond(*, typical_margin: float, moves: Sequence[Move]) -> float:
    """Return the chance that a margin is negative [-].

    Parameters
    ----------
    typical_margin : the margin with everything at its typical value [unit of limit]
    moves : what each unknown alone does to it [unit of the limit]

    Each unknown is triangular between its ends with its peak at the typical value,
    all are independent, and what they do to the margin adds up. The one that does
    most keeps its own distribution, the rest are taken together as normal.

    Raises nothing.

    Source: own rule, no source; a rank for what to measure first, no statistic.

    >>> one = Move(name="x", at_low=-1.0, at_high=1.0, low_share=0.5)
    >>> round(chance_beyond(typical_margin=0.5, moves=(one,)), 3)
    0.125
    """
    if not moves:
        return 1.0 if typical_margin < 0.0 else 0.0
    spreads = variances(moves=moves)
    index = spreads.index(max(spreads))
    first, rest = moves[index], [*moves[:index], *moves[index + 1 :]]
    del spreads[index]
    centre = typical_margin + sum([move.mean for move in rest])
    sd = sqrt(sum([max(variance, 0.0) for variance in spreads]))
    if sd == 0.0:
        return _single(centre, first)
    wide = sd * sqrt(2.0)
    steps = first.quantiles(probabilities=_PROBABILITIES)
    total = sum([0.5 * erfc((centre + step) / wide) for step in steps])
    return total / _QUANTILES


def _single(centre: float, move: Move) -> float:
    """Chance with one unknown, exactly."""
    sides = ((move.low_share, move.at_low), (1.0 - move.low_share, move.at_high))
    crossed = sum(
        share * (1.0 - abs(centre / end)) ** 2
        for share, end in sides
        if end != 0.0 and (centre + end < 0.0) != (centre < 0.0)
    )
    return 1.0 - crossed if centre < 0.0 else crossed
