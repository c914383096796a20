"""Broken wires ahead: counts of each rope against the number that ends its life."""

from dataclasses import dataclass

import numpy as np

from inspections.forecasts import loading
from inspections.forecasts.clocks import YEAR_S
from inspections.forecasts.knowledge import Knowledge
from inspections.forecasts.loading import Tracks
from inspections.projection import counts, forecasting, waiting
from inspections.projection.counts import CountClass
from inspections.projection.detection import Counts, running_maximum

# Chances at which the distribution is worked out, to read a chance from it.
GRID = (0.001, 0.003, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
# A count on the very day the rope was hung has no clock to divide by.
FIRST_DAY_YEARS = 1.0 / 365.25


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakForecasts:
    """Answers per rope (S,); years (P, S) from its last count, +inf without a limit."""

    years: np.ndarray
    chance_before_horizon: np.ndarray
    already: np.ndarray
    share_learnt: np.ndarray
    seen: np.ndarray
    count: np.ndarray
    rate_per_year: np.ndarray
    class_machines: np.ndarray
    state: np.ndarray


def counts_of(tracks: Tracks) -> Counts:
    """Return the counts of tracks as the kernel takes them."""
    order = np.lexsort((tracks.taken, tracks.track))
    years = (tracks.taken - tracks.begun[tracks.track])[order] / YEAR_S
    machines, machine = np.unique(tracks.machine, return_inverse=True)
    bounds = np.searchsorted(tracks.track[order], np.arange(tracks.count + 1))
    return Counts(
        clock=np.maximum(years, FIRST_DAY_YEARS),
        count=tracks.level[order],
        bounds=bounds,
        machine=machine,
        machines=machines.size,
    )


def forecast(
    *,
    tracks: Tracks,
    known: Knowledge,
    horizon_years: np.ndarray,
    rule: tuple[float, ...],
) -> BreakForecasts:
    """Return when each rope's count meets its limit; `rule` asks for the quantiles."""
    size = tracks.count
    years = np.full((len(rule), size), np.inf)
    grid = np.full((len(GRID), size), np.inf)
    share, rate, learnt_from = np.zeros(size), np.zeros(size), np.zeros(size)
    usable = np.isfinite(tracks.limit_level) & (tracks.limit_level > 0)
    seen, hidden = np.zeros(size), np.zeros(size)
    for number in np.unique(tracks.class_number):
        chosen = tracks.class_number == number
        name = loading.CLASSES[number]
        learnt = known.broken[name]
        some = tracks.select(chosen)
        of_class = counts_of(some)
        limit = np.where(usable[chosen], some.limit_level, 1.0)
        for found, wanted in ((years, rule), (grid, GRID)):
            found[:, chosen] = counts.forecast(
                counts=of_class, limit=limit, learnt=learnt, probabilities=wanted
            )
        seen[chosen] = _seen(of_class)
        behind = counts.hidden_count(counts=of_class, seen=seen[chosen], learnt=learnt)
        hidden[chosen] = waiting.chance_hidden(
            need=limit - seen[chosen], hidden=behind, dispersion=learnt.dispersion
        )
        share[chosen] = _share_learnt(seen[chosen], learnt)
        rate[chosen] = _rate(of_class, learnt)
        learnt_from[chosen] = known.rope_machines.get(name, 0.0)
    years[:, ~usable] = np.inf
    # wires that nobody has found yet may already be enough
    already = np.where(usable, np.where(seen >= tracks.limit_level, 1.0, hidden), 0.0)
    before = np.where(usable, _chance(grid, horizon_years), 0.0)
    return BreakForecasts(
        years=years,
        chance_before_horizon=np.maximum(before, already),
        already=already,
        share_learnt=share,
        seen=seen,
        count=np.bincount(tracks.track, minlength=size),
        rate_per_year=rate,
        class_machines=learnt_from,
        state=np.where(usable, forecasting.FORECAST, forecasting.NO_LIMIT),
    )


def _seen(of_class: Counts) -> np.ndarray:
    highest = running_maximum(of_class)
    seen = np.zeros(of_class.machine.size)
    some = np.diff(of_class.bounds) > 0
    seen[some] = highest[of_class.bounds[1:][some] - 1]
    return seen


def _share_learnt(seen: np.ndarray, learnt: CountClass) -> np.ndarray:
    """Return K / (K + a) for a gamma prior of shape a: the share K breaks taught."""
    a_m, a_s = learnt.machine_shape, learnt.rope_shape
    prior = 1.0 / (1.0 / a_m + 1.0 / a_s + 1.0 / (a_m * a_s))
    share: np.ndarray = seen / (seen + prior)
    return share


def _rate(of_class: Counts, learnt: CountClass) -> np.ndarray:
    """Return breaks a year now, from the count so far: g·K/u of a power law u**g."""
    rate = np.zeros(of_class.machine.size)
    some = np.diff(of_class.bounds) > 0
    now = of_class.clock[of_class.bounds[1:][some] - 1]
    rate[some] = learnt.exponent * _seen(of_class)[some] / now
    return rate


def _chance(grid: np.ndarray, horizon: np.ndarray) -> np.ndarray:
    """Return the chance that the limit is met within the horizon, between the grid."""
    chance = np.zeros(horizon.size)
    for row in range(horizon.size):
        ends = grid[:, row]
        chance[row] = np.interp(horizon[row], ends, GRID, left=0.0, right=GRID[-1])
    return chance
