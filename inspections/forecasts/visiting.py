"""When a machine is likely to be visited next, from when it was visited before."""

from datetime import datetime

import numpy as np

from inspections.forecasts.clocks import YEAR_S
from inspections.forecasts.loading import DAY_S, Tracks

# Our rules, no source: the mean gap of the last three years, else a year.
LOOK_BACK_S = 3.0 * YEAR_S
USUAL_GAP_S = 1.0 * YEAR_S
SHORTEST_GAP_S, LONGEST_GAP_S = 30.0 * DAY_S, 2.0 * YEAR_S


def next_visits(*, tracks: Tracks, as_of: datetime) -> np.ndarray:
    """Return when each track's machine is due again (T,), in seconds since 1970.

    The last visit and the usual gap; today where that has passed or nothing was read.
    """
    now = as_of.timestamp()
    machines, machine_of_track = np.unique(tracks.machine, return_inverse=True)
    if tracks.visit.size == 0:
        return np.full(tracks.count, now)
    # The first point of each visit stands for it.
    _, first = np.unique(tracks.visit, return_index=True)
    machine = machine_of_track[tracks.track[first]]
    taken = tracks.taken[first]
    last = np.full(machines.size, -np.inf)
    np.maximum.at(last, machine, taken)
    recent = taken >= last[machine] - LOOK_BACK_S
    earliest = np.full(machines.size, np.inf)
    np.minimum.at(earliest, machine[recent], taken[recent])
    visits = np.bincount(machine[recent], minlength=machines.size)
    several = visits >= 2
    span = np.where(several, last - np.where(several, earliest, 0.0), 0.0)
    gap = np.where(several, span / np.maximum(visits - 1, 1), USUAL_GAP_S)
    due = last + np.clip(gap, SHORTEST_GAP_S, LONGEST_GAP_S)
    return np.maximum(np.where(np.isfinite(due), due, now), now)[machine_of_track]
