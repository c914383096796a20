"""When does the wear meet its limit?

From the centroid of the readings, T' = (D - s·Z)/b: margin D with standard deviation s
(level and limit), log rate N(m, v), independent. While D is clear of zero, T' is
log-normal in closed form:

    log T' ~ N(log D - s²/(2D²) - m,  S²(h)),   S²(h) = c0 + c1·h + c2·h² + c3·h/T'

with c0 = v + s²/D², c1 wander of the rate, c2 growth of usage, c3 bursts; h = T' - lag
is the remaining time itself, so each quantile solves h = exp(μ + z·S(h)) - lag.
Otherwise (``close``) P(T' <= t) = E_b Φ((b·t - D)/s).

Bursts: the wear of h years has variance φ²b²h, so P(T' <= t) = Φ((b·t - D)/(φb·√h)).
With (D - b·t) ≈ √(D·b·t)·log(D/(b·t)) (the sinh of Birnbaum and Saunders, Journal of
Applied Probability 6, 1969, from memory, to first order) that is a logarithm of
variance φ²·(b/D)·h/T'. Held at the margin instead, φ²b²h/D², it is too small early and
too large late. Wear in bursts never falls, so its increments lean to the large side
like those of a gamma process (van Noortwijk, Reliability Engineering & System Safety
94, 2009, from memory): their third cumulant 2φ⁴b³h makes one of the logarithm,
-c4·h/T'^1.5, c4 = 2φ⁴·(b/D)^1.5.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import normal
from inspections.projection.arrays import Flags, Floats, Integers

LONGEST = 60.0
"""Quantiles are cut here [clock units]; beyond it nothing is claimed."""
_CLEAR = 0.25
"""s/D below which the log-normal form holds (1.5 % on P10 and P90)."""
_WANDER_UNTIL = 25.0
_LONGEST_LOG = 12.0
_MOST_LEAN = np.float32(1.2)
"""Under 3/|z| at P2 and P98, so that quantiles never cross (Cornish and Fisher)."""
_FIXED_POINT_STEPS = 3
_NEWTON_STEPS = 6
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
_SHARES = (_WEIGHTS / _WEIGHTS.sum()).astype(np.float32)
_DEVIATES = _NODES.astype(np.float32, copy=False)[:, None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Approach:
    """Where each series stands and how it moves (S,).

    margin : D, straightened limit minus level at the centroid [mm]
    margin_variance : s² [mm²], > 0
    log_rate, log_rate_variance : m, v
    third : third central moment of log T' by the rate's posterior [-]
    lag : time from the centroid to the last reading [clock], >= 0
    joint_variance : variance of log T' that margin and rate share (may be negative)
    wander : variance of log T' per clock unit ahead; growth : per unit squared
    burst : variance of wear in one clock unit over the squared mean [clock]
    """

    margin: Floats
    margin_variance: Floats
    log_rate: Floats
    log_rate_variance: Floats
    third: Floats
    lag: Floats
    joint_variance: Floats
    wander: Floats
    growth: Floats
    burst: Floats

    def select(self, chosen: Integers) -> "Approach":
        return Approach(
            **{name: getattr(self, name)[chosen] for name in self.__slots__}
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageForm:
    """The log-normal form: log T' ~ N(centre, c0 + c1·h + c2·h² + c3·h/(h + lag))."""

    centre: Floats
    c0: Floats
    c1: Floats
    c2: Floats
    c3: Floats
    c4: Floats
    lag: Floats
    third: Floats
    lead: Floats
    clear: Flags

    @property
    def bursts(self) -> bool:
        return bool(np.any(self.c3 > np.float32(1e-4) * self.c0))

    @property
    def grows(self) -> bool:
        """Whether any variance grows ahead by more than a ten-thousandth of itself."""
        farthest = np.float32(_WANDER_UNTIL)
        more = (self.c1 + self.c2 * farthest) * farthest + self.c3
        return bool(np.any(more > np.float32(1e-4) * self.c0))

    def deviation(self, ahead: Floats) -> Floats:
        h = np.clip(ahead, np.float32(0.0), np.float32(_WANDER_UNTIL))
        variance = self.c0 + (self.c1 + self.c2 * h) * h
        if self.bursts:
            variance += self.c3 * h / np.maximum(h + self.lag, np.float32(1e-6))
        return np.sqrt(variance)

    def lean(self, ahead: Floats, deviation: Floats) -> Floats:
        """Skewness of log T' (its third central moment over the cube of S)."""
        third = self.third
        if self.bursts:
            h = np.clip(ahead, np.float32(0.0), np.float32(_WANDER_UNTIL))
            until = np.maximum(h + self.lag, np.float32(1e-6))
            third = third - self.c4 * h / (until * np.sqrt(until))
        cube = deviation * deviation * deviation
        return np.clip(third / cube, -_MOST_LEAN, _MOST_LEAN)

    def middle(self, ahead: Floats) -> Floats:
        """Mean of log T': a wandering rate is soon higher than now as often as lower,
        but wears more while it is (Jensen): -ψ²h/12, a quarter of its variance."""
        h = np.clip(ahead, np.float32(0.0), np.float32(_WANDER_UNTIL))
        return self.centre - self.lead * h


def quantiles(
    *,
    approach: Approach,
    probabilities: tuple[float, ...],
    form: PassageForm | None = None,
) -> Floats:
    """Return quantiles (P, S) of the time from the last reading to the limit.

    probabilities : in any order, each 0 < p < 1; the rows are in the same order
    Negative: the limit was met before the last reading. At most ``LONGEST``.
    Finite input gives finite output. ``form`` saves working it out again.
    """
    form = form_of(approach) if form is None else form
    lag = approach.lag.astype(np.float32, copy=False)
    result = np.empty((len(probabilities), lag.size))
    median = np.exp(form.centre) - lag
    steps = _FIXED_POINT_STEPS if form.grows else 1
    for row, probability in enumerate(probabilities):
        z = np.float32(normal.deviate(probability))
        tilt = np.float32((z * z - 1) / 6)
        ahead = median
        for _ in range(steps):
            deviation = form.deviation(ahead)
            skew = tilt * form.lean(ahead, deviation)
            exponent = form.middle(ahead) + (z + skew) * deviation
            ahead = np.exp(np.minimum(exponent, np.float32(_LONGEST_LOG))) - lag
        result[row] = ahead
    close = np.flatnonzero(~form.clear)
    if close.size:
        result[:, close] = _close_quantiles(approach.select(close), probabilities)
    return np.minimum(result, LONGEST)


def chance_before(
    *, approach: Approach, horizon: Floats, form: PassageForm | None = None
) -> Floats:
    """Return the chance (S,) that the limit is met within ``horizon`` (S,) from the
    last reading [clock]; horizon 0 gives the chance that it is met already."""
    form = form_of(approach) if form is None else form
    until = np.maximum(horizon + approach.lag, 1e-9).astype(np.float32, copy=False)
    ahead = horizon.astype(np.float32, copy=False)
    deviation = form.deviation(ahead)
    z = (np.log(until) - form.middle(ahead)) / deviation
    z = np.clip(z, np.float32(-9.0), np.float32(9.0))
    lean = form.lean(ahead, deviation) / 6
    z = z - lean * (np.clip(z * z, np.float32(0.0), np.float32(6.0)) - 1)
    chance = normal.cumulative(z)
    close = np.flatnonzero(~form.clear)
    if close.size:
        chosen = approach.select(close)
        time = horizon[close] + chosen.lag
        chance[close] = _close_cumulative(time, *_close_nodes(chosen))[0]
    return np.clip(chance, 0.0, 1.0)


def form_of(approach: Approach) -> PassageForm:
    """Return the log-normal form, in single precision; harmless where not clear."""
    relative = approach.margin_variance / np.maximum(approach.margin, 1e-9) ** 2
    clear = (approach.margin > 0) & (relative < _CLEAR**2)
    relative = np.where(clear, relative, 0.0)
    margin = np.where(clear, approach.margin, 1.0)
    centre = np.log(margin) - 0.5 * relative - approach.log_rate
    c0 = approach.log_rate_variance + relative + approach.joint_variance
    burst = approach.burst * np.exp(approach.log_rate) / margin
    return PassageForm(
        centre=np.minimum(centre, 30.0).astype(np.float32, copy=False),
        c0=np.maximum(c0, 1e-8).astype(np.float32, copy=False),
        c1=approach.wander.astype(np.float32, copy=False),
        c2=approach.growth.astype(np.float32, copy=False),
        c3=burst.astype(np.float32, copy=False),
        c4=(
            2.0 * approach.burst**2 * (np.exp(approach.log_rate) / margin) ** 1.5
        ).astype(np.float32, copy=False),
        lag=np.maximum(approach.lag, 0.0).astype(np.float32, copy=False),
        third=approach.third.astype(np.float32, copy=False),
        lead=(0.25 * approach.wander).astype(np.float32, copy=False),
        clear=clear,
    )


def _close_nodes(approach: Approach) -> tuple[Floats, Floats, Floats]:
    """Return rates (K, S) of the quadrature over b, the margin and its deviation."""
    expected = np.maximum(approach.margin, 0.0) / np.exp(approach.log_rate)
    ahead = np.clip(expected - approach.lag, 0.0, _WANDER_UNTIL)
    wide = approach.wander * ahead + approach.growth * ahead**2
    deviation = np.sqrt(approach.log_rate_variance + wide)
    exponent = approach.log_rate + _DEVIATES * np.minimum(deviation, 3.0)
    rates = np.exp(np.clip(exponent, -30.0, 30.0))
    # bursts between centroid and limit blur the margin
    blur = approach.burst * np.exp(2.0 * approach.log_rate) * ahead
    return rates, approach.margin, np.sqrt(approach.margin_variance + blur)


def _close_cumulative(
    time: Floats, rates: Floats, margin: Floats, deviation: Floats
) -> tuple[Floats, Floats]:
    """Return P(T' <= time) and its density, each of the shape of ``time``: (S,) or
    (P, S)."""
    z = rates * time[..., None, :] - margin
    z /= deviation
    np.clip(z, np.float32(-12.0), np.float32(12.0), out=z)
    chance = np.einsum("k,...ks->...s", _SHARES, normal.cumulative(z))
    height = rates * np.exp(np.float32(-0.5) * z * z)
    density = np.einsum("k,...ks->...s", _SHARES, height) / deviation
    return chance, density * np.float32(0.3989422804)


def _close_quantiles(approach: Approach, probabilities: tuple[float, ...]) -> Floats:
    """Solve P(T' <= t) = p by Newton's method kept within a shrinking bracket.

    Where Newton has not met two chances quite, the greater one is no earlier.
    """
    rates, margin, deviation = _close_nodes(approach)
    wanted = np.array(probabilities, dtype=np.float32)[:, None]
    z = np.array([normal.deviate(p) for p in probabilities], dtype=np.float32)[:, None]
    low = (margin - 8.0 * deviation) / rates[0]
    low = np.minimum(low, (margin - 8.0 * deviation) / rates[-1])
    high = approach.lag + 4.0 * LONGEST
    time = np.clip((margin + z * deviation) / np.exp(approach.log_rate), low, high)
    for _ in range(_NEWTON_STEPS):
        chance, density = _close_cumulative(time, rates, margin, deviation)
        under = chance < wanted
        low, high = np.where(under, time, low), np.where(under, high, time)
        step = time - (chance - wanted) / np.maximum(density, 1e-12)
        inside = (step >= low) & (step <= high)
        time = np.where(inside, step, 0.5 * (low + high))
    rising = np.argsort(probabilities, kind="stable")
    time[rising] = np.maximum.accumulate(time[rising], axis=0)
    return time - approach.lag
