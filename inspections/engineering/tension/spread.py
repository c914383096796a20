"""Tension of the ropes of a set against each other, judged against gauge noise."""

from dataclasses import dataclass
from functools import cache
from math import erf, exp, pi, sqrt
from statistics import fmean

from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.reasons import Code, because

NOISE_FACTOR = 3.0
SWING_LIMIT_RATIO = 0.10
LEAST_ROPES = 2
INTEGRATION_STEPS = 400
INTEGRATION_REACH = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TensionSpread:
    """How unequally the ropes of a set carry.

    Parameters
    ----------
    mean_n : mean force of a rope [N]
    lowest_n : least force [N]
    highest_n : greatest force [N]
    range_ratio : (highest - lowest)/lowest [-]
    deviation_ratio : greatest distance from the mean, over the mean [-]
    noise_ratio : range, over the mean, that equal ropes would show in one case
        out of a hundred through the gauge alone [-]

    Raises nothing; tension_spread makes it.

    Source: the two customary measures of equality; 10 % of the lowest
    ("Traction Sheave Maintenance", Elevator World, confirmed) and 5 % of
    the mean (acceptance practice, from memory).

    >>> TensionSpread(mean_n=5000.0, lowest_n=4500.0, highest_n=5500.0,
    ...     range_ratio=0.22, deviation_ratio=0.1, noise_ratio=0.17).beyond_noise
    True
    """

    mean_n: float
    lowest_n: float
    highest_n: float
    range_ratio: float
    deviation_ratio: float
    noise_ratio: float

    @property
    def beyond_noise(self) -> bool:
        """Whether the range is more than the gauge alone explains."""
        return (self.highest_n - self.lowest_n) / self.mean_n > self.noise_ratio


def tension_spread(
    *, tensions_n: tuple[float, ...], gauge_sd_ratio: float
) -> TensionSpread:
    """Return how unequally the ropes of a set carry, and what of it is noise.

    Parameters
    ----------
    tensions_n : force of each rope, read at the same place [N], > 0; two ropes
        or more
    gauge_sd_ratio : standard uncertainty of one reading, over the reading [-],
        > 0

    Raises OutsideValidity outside these ranges.

    Source: derived; the range of n equal ropes as read follows the
    distribution of the range of normal variates.

    >>> found = tension_spread(
    ...     tensions_n=(4700.0, 5000.0, 5100.0, 5200.0), gauge_sd_ratio=0.04)
    >>> found.range_ratio, found.noise_ratio, found.beyond_noise
    (0.106, 0.176, False)
    """
    if len(tensions_n) < LEAST_ROPES:
        raise OutsideValidity(
            name="tensions_n", value=len(tensions_n), rule=because(Code.RULE_TWO_ROPES)
        )
    require_positive(
        gauge_sd_ratio=gauge_sd_ratio,
        **{f"tensions_n_{i}": x for i, x in enumerate(tensions_n, 1)},
    )
    mean, lowest, highest = fmean(tensions_n), min(tensions_n), max(tensions_n)
    quantile = range_quantile(count=len(tensions_n), probability=0.99)
    return TensionSpread(
        mean_n=mean,
        lowest_n=lowest,
        highest_n=highest,
        range_ratio=(highest - lowest) / lowest,
        deviation_ratio=max(highest - mean, mean - lowest) / mean,
        noise_ratio=quantile * gauge_sd_ratio,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TensionSwing:
    """How the shares of the ropes change between bottom and top of the travel.

    Parameters
    ----------
    swings_ratio : of each rope, share at the bottom less share at the top, a
        share of 1 being the mean [-]
    noise_ratio : swing that the gauge alone explains [-]
    limit_ratio : swing up to which unequal grooves are no matter [-]

    A rope that runs on a seat of another radius gathers force over the trip; a
    rope that is only set too tight does not.

    Raises nothing; tension_swing makes it.

    Source: derived; common practice, no source, for the limits.

    >>> TensionSwing(swings_ratio=(0.3, -0.2, -0.1), noise_ratio=0.1,
    ...     limit_ratio=0.1).greatest
    (1, 0.3)
    """

    swings_ratio: tuple[float, ...]
    noise_ratio: float
    limit_ratio: float

    @property
    def greatest(self) -> tuple[int, float]:
        """Number (from 1) and swing of the rope that swings most."""
        place = max(
            range(len(self.swings_ratio)), key=lambda i: abs(self.swings_ratio[i])
        )
        return place + 1, self.swings_ratio[place]

    @property
    def is_unequal(self) -> bool:
        """Whether the greatest swing is beyond both noise and limit."""
        swing = abs(self.greatest[1])
        return swing > self.noise_ratio and swing > self.limit_ratio


def tension_swing(
    *,
    bottom_n: tuple[float, ...],
    top_n: tuple[float, ...],
    gauge_sd_ratio: float,
    limit_ratio: float = SWING_LIMIT_RATIO,
) -> TensionSwing:
    """Return how far each rope's share of the load swings over the travel.

    Parameters
    ----------
    bottom_n : force of each rope with the car at the bottom [N], > 0
    top_n : force of each rope, same order and place, after a run without a stop
        to the top [N], > 0
    gauge_sd_ratio : standard uncertainty of one reading, over the reading [-],
        > 0
    limit_ratio : swing up to which unequal grooves are no matter [-], > 0

    Raises OutsideValidity outside these ranges or for lists that differ.

    Source: derived, noise 3·√2·u; common practice, no source, for the rule.

    >>> found = tension_swing(bottom_n=(5000.0, 5000.0, 5600.0, 4400.0),
    ...     top_n=(5000.0, 5000.0, 4400.0, 5600.0), gauge_sd_ratio=0.04)
    >>> found.greatest, found.is_unequal
    ((3, 0.24), True)
    """
    if len(bottom_n) < LEAST_ROPES or len(bottom_n) != len(top_n):
        raise OutsideValidity(
            name="top_n",
            value=len(top_n),
            rule=because(
                Code.RULE_AS_MANY_ROPES, other="bottom_n", count=len(bottom_n)
            ),
        )
    require_positive(
        gauge_sd_ratio=gauge_sd_ratio,
        limit_ratio=limit_ratio,
        **{f"bottom_n_{i}": x for i, x in enumerate(bottom_n, 1)},
        **{f"top_n_{i}": x for i, x in enumerate(top_n, 1)},
    )
    bottom_mean, top_mean = fmean(bottom_n), fmean(top_n)
    swings = tuple(
        low / bottom_mean - high / top_mean
        for low, high in zip(bottom_n, top_n, strict=True)
    )
    return TensionSwing(
        swings_ratio=swings,
        noise_ratio=NOISE_FACTOR * sqrt(2.0) * gauge_sd_ratio,
        limit_ratio=limit_ratio,
    )


def range_quantile(*, count: int, probability: float) -> float:
    """Return a quantile of the range of equal readings, in standard deviations [-].

    Parameters
    ----------
    count : number of readings [-], >= 2
    probability : of the quantile [-], above 0 and below 1

    Raises OutsideValidity outside these ranges.

    Source: derived, P(w) = n·∫φ(x)·(Φ(x + w) - Φ(x))^(n-1) dx, the studentised
    range with known standard deviation; 4.757 for six at 99 % in its tables
    (from memory).

    >>> range_quantile(count=6, probability=0.99)
    4.757
    """
    if count < LEAST_ROPES:
        raise OutsideValidity(
            name="count", value=count, rule=because(Code.RULE_OR_MORE, least=2)
        )
    if not 0.0 < probability < 1.0:
        raise OutsideValidity(
            name="probability", value=probability, rule=because(Code.RULE_SHARE)
        )
    return _quantile(count, probability)


@cache
def _quantile(count: int, probability: float) -> float:
    low, high = 0.0, 20.0
    while high - low > 1e-6:
        middle = (low + high) / 2.0
        if _range_probability(middle, count) < probability:
            low = middle
        else:
            high = middle
    return high


def _range_probability(width: float, count: int) -> float:
    """Chance that the range of normal readings is at most a width."""
    step = 2.0 * INTEGRATION_REACH / INTEGRATION_STEPS
    places = [-INTEGRATION_REACH + step * i for i in range(INTEGRATION_STEPS + 1)]
    heights = [
        exp(-x * x / 2.0) * (_normal(x + width) - _normal(x)) ** (count - 1)
        for x in places
    ]
    return count * step * sum(heights) / sqrt(2.0 * pi)


def _normal(x: float) -> float:
    return (1.0 + erf(x / sqrt(2.0))) / 2.0
