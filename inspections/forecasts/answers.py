"""What a chunk of tracks is asked and answered, and what is counted of its readings."""

from dataclasses import dataclass

import numpy as np

from inspections.forecasts.loading import Tracks
from inspections.forecasts.showing import SeriesSaid
from inspections.projection.hierarchy import Hierarchy


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanningChances:
    """How cautiously to plan: chances that a limit is met before the date given."""

    safety: float = 0.02
    comfort: float = 0.10
    pull_forward: float = 0.01

    @property
    def probabilities(self) -> tuple[float, ...]:
        return (0.02, 0.10, 0.50, 0.90, self.safety, self.comfort, self.pull_forward)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackForecasts:
    """Forecasts of tracks (S,), in their order; closed ones are among them.

    has_level : level and rate are known; without a limit they are not worked out
    last : seconds since 1970; next_visit likewise; left_out : (track, point id) pairs
    log_rate_sd, centre_years, noise_factor : as the kernel's
    factor : on the deviates of planning dates
    speeding : its planning date counts on wear that speeds up; softer : on
        softer metal below a hardened layer; read_off : by a gauge or person that reads
        off the others
    """

    tracks: Tracks
    said: SeriesSaid
    level: np.ndarray
    level_sd: np.ndarray
    log_rate_sd: np.ndarray
    centre_years: np.ndarray
    noise_factor: np.ndarray
    factor: np.ndarray
    rate_per_year: np.ndarray
    share_learnt: np.ndarray
    limit_share: np.ndarray
    chance_already: np.ndarray
    chance_before_visit: np.ndarray
    has_level: np.ndarray
    last: np.ndarray
    next_visit: np.ndarray
    on_trips: np.ndarray
    left_out: np.ndarray
    speeding: np.ndarray
    softer: np.ndarray
    read_off: np.ndarray


def last_reading(tracks: Tracks) -> np.ndarray:
    """Return when each track was read last (S,), or begun where it never was."""
    last = tracks.begun.copy()
    np.maximum.at(last, tracks.track, tracks.taken)
    return last


def others_read(hierarchy: Hierarchy, count: np.ndarray) -> np.ndarray:
    """Return the readings of the best-read other series of each one's pool (S,)."""
    pool = hierarchy.machine_of_series
    order = np.lexsort((-count, pool))
    first = np.ones(order.size, dtype=np.bool_)
    first[1:] = pool[order][1:] != pool[order][:-1]
    best = order[first]
    second = np.zeros(best.size, dtype=count.dtype)
    after = np.flatnonzero(first) + 1
    inside = after < order.size
    inside[inside] &= ~first[after[inside]]
    second[inside] = count[order[after[inside]]]
    found: np.ndarray = np.where(
        best[pool] == np.arange(count.size), second[pool], count[best][pool]
    )
    return found
