"""The usage clock: trips counted by the controller, where a class counts them.

A class runs on trips when every one of its machines has a counter of at least 0.3
years, else on the calendar; the two are never mixed within a class of one contractor.
One unit of the trip clock is the trips of a typical year, so that rates compare.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.forecasts.loading import CLASSES, DAY_S, DAYS_A_YEAR, Tracks
from inspections.projection import counter
from inspections.projection.usage import LEAST_HISTORY_YEARS, Usage, forecast_usage

YEARS, TRIPS = "YEARS", "TRIPS"
YEAR_S = DAY_S * DAYS_A_YEAR
# More than any lift makes: the band of the reading's kind is 6000 a day.
MOST_A_YEAR = 6000.0 * DAYS_A_YEAR
# A reading this near to the counter's last number is followed by a roll-over; our rule.
NEAR_THE_END = 0.9
# Other machines' counters that stand for the fleet, besides the machine's own.
SAMPLE = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Counters:
    """Trip counters of machines (M,): readings (N,) since the last one that is sure."""

    machine: np.ndarray
    seconds: np.ndarray
    count: np.ndarray
    bounds: np.ndarray

    @property
    def known(self) -> np.ndarray:
        """True (M,) where there is enough of a counter to go by."""
        found = np.zeros(self.machine.size, dtype=np.bool_)
        for place in range(self.machine.size):
            run = slice(self.bounds[place], self.bounds[place + 1])
            seconds, count = self.seconds[run], self.count[run]
            if seconds.size >= 2:
                enough = seconds[-1] - seconds[0] >= LEAST_HISTORY_YEARS * YEAR_S
                found[place] = enough and count[-1] > count[0]
        return found

    def trips(self, place: int, seconds: np.ndarray) -> np.ndarray:
        """Return the count at some moments; beyond the record at its mean rate."""
        run = slice(self.bounds[place], self.bounds[place + 1])
        at, count = self.seconds[run], self.count[run]
        rate = (count[-1] - count[0]) / (at[-1] - at[0])
        inside = np.interp(seconds, at, count)
        before = np.minimum(seconds - at[0], 0.0) * rate
        after = np.maximum(seconds - at[-1], 0.0) * rate
        total: np.ndarray = inside + before + after
        return total


def counters(*, scope: Scope, machine_ids: Sequence[int], until: datetime) -> Counters:
    """Return the counters of machines, unwrapped; machines without one have none."""
    rows = (
        queries.usable_readings(scope=scope, machine_ids=machine_ids, until=until)
        .filter(kind="trip_counter", value__isnull=False)
        .values_list("machine_id", "taken_at", "value")
    )
    found = list(rows)
    machine = np.array([row[0] for row in found], dtype=np.int64)
    seconds = np.array([row[1].timestamp() for row in found], dtype=np.float64)
    value = np.array([row[2] for row in found], dtype=np.float64)
    ids, starts = np.unique(machine, return_index=True)
    bounds = np.append(starts, machine.size).astype(np.int64)
    unwrapped = counter.unwrap(
        years=seconds / YEAR_S,
        reading=value,
        bounds=bounds,
        digits=_digits(value, bounds),
        most_per_year=MOST_A_YEAR,
    )
    sure = _since_last_doubt(unwrapped.outcome, bounds)
    kept = np.add.reduceat(sure, bounds[:-1]) if ids.size else np.zeros(0, np.int64)
    return Counters(
        machine=ids,
        seconds=seconds[sure],
        count=unwrapped.count[sure],
        bounds=np.concatenate([[0], np.cumsum(kept)]).astype(np.int64),
    )


def _digits(value: np.ndarray, bounds: np.ndarray) -> np.ndarray:
    """Return the counter's digits where it fell from near its end, 0 otherwise."""
    digits = np.zeros(bounds.size - 1)
    for place in range(digits.size):
        run = value[bounds[place] : bounds[place + 1]]
        before = run[:-1][np.diff(run) < 0]
        for reading in before:
            size = len(str(int(reading)))
            if reading >= NEAR_THE_END * 10.0**size:
                digits[place] = size
    return digits


def _since_last_doubt(outcome: np.ndarray, bounds: np.ndarray) -> np.ndarray:
    """Return True (N,) from the last reading on at which a count was lost."""
    sure = np.ones(outcome.size, dtype=np.bool_)
    doubted = np.flatnonzero(
        (outcome == counter.REPLACED) | (outcome == counter.TOO_FAST)
    )
    for at in doubted:
        first = bounds[np.searchsorted(bounds, at, side="right") - 1]
        sure[first:at] = False
    return sure


def typical_years(*, tracks: Tracks, found: Counters) -> dict[str, float]:
    """Return trips a typical year for each class whose machines all have a counter."""
    known = set(found.machine[found.known].tolist())
    classes: dict[str, float] = {}
    for number, name in enumerate(CLASSES):
        of_class = (tracks.class_number == number) & tracks.open
        machines = set(tracks.machine[of_class].tolist())
        if machines and machines <= known:
            classes[name] = float(np.median([_a_year(found, m) for m in machines]))
    return classes


def _a_year(found: Counters, machine: int) -> float:
    place = int(np.searchsorted(found.machine, machine))
    run = slice(found.bounds[place], found.bounds[place + 1])
    seconds, count = found.seconds[run], found.count[run]
    return float((count[-1] - count[0]) / (seconds[-1] - seconds[0]) * YEAR_S)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Clock of each point (P,) since the track began; usage of each track's machine."""

    of_point: np.ndarray
    on_trips: np.ndarray
    usage: Usage | None


def clock(
    *, tracks: Tracks, typical: Mapping[str, float], found: Counters | None
) -> Clock:
    """Return each track's clock: years, or typical years of trips for some classes."""
    begun = tracks.begun[tracks.track]
    years = np.maximum(tracks.taken - begun, 0.0) / YEAR_S
    per_year = np.array([typical.get(name, 0.0) for name in CLASSES])
    on_trips = per_year[tracks.class_number] > 0
    if found is None or not bool(on_trips.any()):
        return Clock(of_point=years, on_trips=np.zeros_like(on_trips), usage=None)
    known = dict(zip(found.machine.tolist(), found.known.tolist(), strict=True))
    point_of = np.argsort(tracks.track, kind="stable")
    edges = np.searchsorted(tracks.track[point_of], np.arange(tracks.count + 1))
    for track in np.flatnonzero(on_trips):
        machine = int(tracks.machine[track])
        if not known.get(machine, False):
            continue
        place = int(np.searchsorted(found.machine, machine))
        at = point_of[edges[track] : edges[track + 1]]
        start = found.trips(place, np.array([tracks.begun[track]]))[0]
        passed = found.trips(place, tracks.taken[at]) - start
        scale = per_year[tracks.class_number[track]]
        years[at] = np.maximum(passed, 0.0) / scale
    return Clock(
        of_point=years,
        on_trips=on_trips,
        usage=_usage(tracks, found, float(per_year[per_year > 0].mean()), on_trips),
    )


def _usage(
    tracks: Tracks, found: Counters, typical: float, on_trips: np.ndarray
) -> Usage:
    """Return the usage ahead of each track's machine; a year a year on the calendar."""
    machines = np.union1d(found.machine, tracks.machine)
    counts = np.zeros(machines.size, dtype=np.int64)
    counts[np.searchsorted(machines, found.machine)] = np.diff(found.bounds)
    ahead = forecast_usage(
        years=found.seconds / YEAR_S,
        count=found.count / typical,
        bounds=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
    )
    chosen = ahead.select(np.searchsorted(machines, tracks.machine))
    columns = {
        name: np.where(on_trips, getattr(chosen, name), 0.0)
        for name in Usage.__slots__
        if name != "known"
    }
    return Usage(**columns, known=chosen.known)
