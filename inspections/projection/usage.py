"""How many clock units a year brings, where wear is counted in trips.

From the counter of each machine: whole years back from its last reading (so that
seasons fall out), the logarithm of each year's usage y_k at k + 1/2 years ago follows
a - g·(k + 1/2) with noise; level a and growth g are shrunk to what the fleet shows
(normal linear model: Gelman et al., Bayesian Data Analysis, chapter 14).
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers

GROWTH_YEARS = 10.0
"""A trend of usage is carried this far ahead; then usage stays where it is."""
LEAST_HISTORY_YEARS = 0.3
"""With less of a counter than this the calendar is the better clock."""
MOST_YEARS = 8
WANDER_PER_YEAR = 0.02**2
"""Variance the log usage of a machine gathers in a year beyond its trend (judgement,
no source)."""
_PRIOR_GROWTH_SD = 0.05
_PRIOR_LEVEL_SD = 1.0
_PRIOR_NOISE_SD = 0.08
_PRIOR_MACHINES = 5.0
_PART_YEAR_SD = 0.25
"""Extra noise of less than a year: its season is not the whole year's."""
_OFTEN_YEARS = 0.4
"""A counter read at least this often on the mean shows each year's usage cleanly."""
_SHARED_ENDS = 0.5
"""Years that follow each other share a counter reading, so their errors cancel: the
variance of level and trend is about half that of independent years (found on simulated
counters)."""
_ROUNDS = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Usage:
    """Forecast of usage per series (or machine), as of the last reading.

    log_per_year, log_variance : logarithm of clock units per year, and its variance
    growth, growth_variance : change of that logarithm per year [1/year]
    log_growth_covariance : of the two
    wander_variance : variance the logarithm gathers per year [1/year]
    known : False where there is too little of a counter; then the fleet's usage with
        the spread between its machines is given
    """

    log_per_year: Floats
    log_variance: Floats
    growth: Floats
    growth_variance: Floats
    log_growth_covariance: Floats
    wander_variance: Floats
    known: Flags

    def select(self, chosen: Integers) -> "Usage":
        """Return the entries at the given positions (e.g. machine of each series)."""
        return Usage(**{name: getattr(self, name)[chosen] for name in self.__slots__})

    def calendar(self, steady_years: Floats) -> Floats:
        """Return years at growing usage for years at today's usage.

        t = log(1 + g·h)/g while growth lasts (``GROWTH_YEARS``), then at the usage
        reached. Times before today are left as they are.
        """
        growth = np.where(np.abs(self.growth) < 1e-6, 1e-6, self.growth)
        reached = np.exp(growth * GROWTH_YEARS)
        bound = (reached - 1.0) / growth
        growing = np.log1p(growth * np.clip(steady_years, 0.0, bound)) / growth
        later = np.maximum(steady_years - bound, 0.0) / reached
        return np.where(steady_years > 0, growing + later, steady_years)

    def steady(self, years: Floats) -> Floats:
        """Return years at today's usage that bring the usage of ``years`` (inverse)."""
        growth = np.where(np.abs(self.growth) < 1e-6, 1e-6, self.growth)
        growing = np.expm1(growth * np.minimum(years, GROWTH_YEARS)) / growth
        reached = np.exp(growth * GROWTH_YEARS)
        steady: Floats = growing + np.maximum(years - GROWTH_YEARS, 0.0) * reached
        return steady


def forecast_usage(*, years: Floats, count: Floats, bounds: Integers) -> Usage:
    """Return the usage forecast of each machine from its counter.

    years : (N,) time of each counter reading, rising within a machine [years]
    count : (N,) unwrapped counter (see ``counter``), never falling [clock units]
    bounds : (M + 1,) readings of machine m are ``bounds[m]:bounds[m + 1]``

    A machine with less than 0.3 years of counter, or one that stood still, is not
    ``known`` and gets the fleet's usage; a fleet without any counter, one clock unit a
    year.
    """
    log_usage, ago, part = _yearly(years, count, bounds)
    seen = np.isfinite(log_usage)
    known: Flags = np.any(seen, axis=0)
    counts = np.diff(bounds)
    last = np.maximum(bounds[1:] - 1, 0)
    span = years[last] - years[np.minimum(bounds[:-1], last)] if years.size else last
    often = span <= _OFTEN_YEARS * np.maximum(counts - 1, 1)
    fleet = _fleet(log_usage, ago, part, seen, often)
    mean, growth, v_mean, v_growth, covariance = _posterior(
        log_usage, ago, part, seen, fleet
    )
    certain = np.where(seen.sum(axis=0) >= 2, _SHARED_ENDS, 1.0)
    return Usage(
        log_per_year=mean,
        log_variance=certain * v_mean,
        growth=growth,
        growth_variance=certain * v_growth,
        log_growth_covariance=certain * covariance,
        wander_variance=np.full(known.size, WANDER_PER_YEAR),
        known=known,
    )


def _yearly(
    years: Floats, count: Floats, bounds: Integers
) -> tuple[Floats, Floats, Floats]:
    """Return log usage, middle of the span (years ago) and part-year mark, (K, M).

    NaN where a machine's history does not reach back so far.
    """
    counts = np.diff(bounds)
    some = counts >= 2
    first = np.where(some, bounds[:-1], 0)
    last = np.where(some, bounds[1:] - 1, 0)
    machine = np.repeat(np.arange(counts.size), counts)
    start = years[first] if years.size else np.zeros(counts.size)
    end = years[last] if years.size else np.zeros(counts.size)
    span = np.where(some, end - start, 0.0)
    # one rising key over all machines lets one interpolation serve the fleet
    width = float(span.max(initial=0.0)) + 1.0
    key = machine * width + (years - np.repeat(start, counts))
    usage = np.full((MOST_YEARS, counts.size), np.nan)
    ago = np.full((MOST_YEARS, counts.size), 0.5)
    part = np.zeros((MOST_YEARS, counts.size))
    whole = np.minimum(np.floor(span + 1e-9), MOST_YEARS).astype(int)
    base = np.arange(counts.size) * width
    for k in range(MOST_YEARS):
        short = (k == 0) & (whole == 0) & (span >= LEAST_HISTORY_YEARS)
        use = some & ((k < whole) | short)
        length = np.where(short, span, 1.0)
        to = np.interp(base + span - k, key, count) if key.size else base
        since = np.interp(base + span - k - length, key, count) if key.size else base
        used = (to - since) / np.where(length > 0, length, 1.0)
        use &= used > 0
        usage[k, use] = np.log(used[use])
        ago[k] = np.where(short, 0.5 * span, k + 0.5)
        part[k] = short
    return usage, ago, part


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fleet:
    """Mean and spread of the level, spread of growth, noise of one year's usage (M,):
    one value for counters read often, one for the others."""

    level: float
    level_sd: float
    growth_sd: float
    noise: Floats


def _fleet(
    log_usage: Floats, ago: Floats, part: Floats, seen: Flags, often: Flags
) -> _Fleet:
    """Return what the fleet shows, by a few steps of expectation-maximisation."""
    use: Flags = np.any(seen, axis=0)
    fleet = _Fleet(
        level=0.0,
        level_sd=_PRIOR_LEVEL_SD,
        growth_sd=_PRIOR_GROWTH_SD,
        noise=np.full(often.size, _PRIOR_NOISE_SD),
    )
    if not bool(seen.any()):
        return fleet
    fleet = dataclasses.replace(fleet, noise=fleet.noise[use])
    usage, back, short = log_usage[:, use], ago[:, use], part[:, use]
    there = seen[:, use]
    extra = _PRIOR_MACHINES
    count = float(use.sum()) + extra
    for _ in range(_ROUNDS):
        mean, growth, v_mean, v_growth, covariance = _posterior(
            usage, back, short, there, fleet
        )
        whole = there & (short == 0)
        gap = np.where(whole, usage - mean + growth * back, 0.0)
        blur = v_mean - 2 * back * covariance + back**2 * v_growth
        square = np.where(whole, gap**2 + blur, 0.0).sum(axis=0)
        level = float(mean.mean())
        spread = float(np.sum((mean - level) ** 2 + v_mean))
        trend = float(np.sum(growth**2 + v_growth)) + extra * _PRIOR_GROWTH_SD**2
        fleet = _Fleet(
            level=level,
            level_sd=float(np.sqrt((spread + extra * 0.2**2) / count)),
            growth_sd=float(np.sqrt(trend / count)),
            noise=_noise(square, whole.sum(axis=0), often[use]),
        )
    return dataclasses.replace(fleet, noise=_spread_out(fleet.noise, use, often))


def _noise(square: Floats, years: Floats, often: Flags) -> Floats:
    """Return the noise of a year for each machine, learnt in its group."""
    noise = np.empty(often.size)
    for group in (often, ~often):
        total = float(square[group].sum()) + _PRIOR_MACHINES * _PRIOR_NOISE_SD**2
        noise[group] = np.sqrt(total / (float(years[group].sum()) + _PRIOR_MACHINES))
    return noise


def _spread_out(noise: Floats, use: Flags, often: Flags) -> Floats:
    """Return the noise of all machines from that of the machines in use."""
    whole = np.full(often.size, _PRIOR_NOISE_SD)
    whole[use] = noise
    return whole


def _posterior(
    log_usage: Floats, ago: Floats, part: Floats, seen: Flags, fleet: _Fleet
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Return mean, growth, their variances and covariance per machine (M,)."""
    noise = fleet.noise**2 + part * _PART_YEAR_SD**2
    weight = np.where(seen, 1.0 / noise, 0.0)
    value = np.where(seen, log_usage, 0.0)
    s0 = weight.sum(axis=0) + 1.0 / fleet.level_sd**2
    s1 = -(weight * ago).sum(axis=0)
    s2 = (weight * ago**2).sum(axis=0) + 1.0 / fleet.growth_sd**2
    t0 = (weight * value).sum(axis=0) + fleet.level / fleet.level_sd**2
    t1 = -(weight * ago * value).sum(axis=0)
    determinant = s0 * s2 - s1 * s1
    mean = (s2 * t0 - s1 * t1) / determinant
    growth = (s0 * t1 - s1 * t0) / determinant
    return mean, growth, s2 / determinant, s0 / determinant, -s1 / determinant
