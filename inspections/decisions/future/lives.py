"""How long what runs now will run, and what comes after it: draws of years.

The dates of a forecast are turned into draws by their quantiles: in between the
logarithm of the time since the last reading is straight over the normal deviate, the
same shape as the forecasts' own. A part yet to come runs limit/rate years, log-normal
with the spread of a rate that nobody has read yet.

Dates are not independent: machines of one class share what was learnt of their rate,
places of one machine share its use. One normal deviate for each of these, one for the
place; their weights are thresholds.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from hashlib import sha256
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from inspections.decisions.dates import years_between
from inspections.decisions.future.wearing import GROUP_OF, EndsTogether
from inspections.decisions.records import AheadLimit, Thresholds

Floats = NDArray[np.float64]
NEVER = 1e6
"""Years; stands for a limit that is not met within any horizon."""
SHORTEST = 0.1
"""Years; a part yet to come is taken to run at least this long."""
_DEVIATES = (-2.0537489106318230, -1.2815515655446004, 0.0, 1.2815515655446004)
_SMALLEST = 1e-3

Points = tuple[tuple[float, ...], tuple[float, ...], bool, float]


class Deviates:
    """Normal deviates that depend on what they are for, and on nothing else."""

    def __init__(self, *, seed: int, draws: int, thresholds: Thresholds) -> None:
        self._seed = seed
        self.draws = draws
        shared = thresholds.value("shared_in_class")
        own = thresholds.value("shared_on_machine")
        self._in_class, self._on_machine = sqrt(shared), sqrt(own)
        self._alone = sqrt(1.0 - shared - own)
        self._classes: dict[str, Floats] = {}

    def stream(self, *path: int) -> np.random.Generator:
        """Return the generator of one purpose; the same path, the same numbers."""
        return np.random.Generator(np.random.PCG64([self._seed, *path]))

    def of_places(
        self,
        *,
        machine_key: int,
        group: EndsTogether,
        segment: int,
        classes: Sequence[str],
    ) -> Floats:
        """Return deviates (places, draws) of one group of one machine."""
        on_machine = self.stream(1, machine_key, group).standard_normal(self.draws)
        alone = self.stream(2, machine_key, group, segment).standard_normal(
            (len(classes), self.draws)
        )
        in_class = np.stack([self._of_class(name) for name in classes])
        found: Floats = (
            self._in_class * in_class
            + self._on_machine * on_machine
            + self._alone * alone
        )
        return found

    def uniform(self, number: int) -> Floats:
        """Return uniform draws shared by all machines, such as those of one price."""
        return self.stream(3, number).random(self.draws)

    def _of_class(self, name: str) -> Floats:
        if name not in self._classes:
            path = int.from_bytes(sha256(name.encode()).digest()[:8], "big")
            self._classes[name] = self.stream(0, path).standard_normal(self.draws)
        return self._classes[name]


def grouped(
    ahead: Sequence[AheadLimit],
) -> Mapping[EndsTogether, tuple[AheadLimit, ...]]:
    """Return the limits of each group in an order of their own."""
    found: dict[EndsTogether, list[AheadLimit]] = {group: [] for group in EndsTogether}
    for limit in sorted(ahead, key=lambda each: each.key):
        if limit.quantity in GROUP_OF:
            found[GROUP_OF[limit.quantity]].append(limit)
    return {group: tuple(limits) for group, limits in found.items()}


def has_date(limit: AheadLimit) -> bool:
    """Return whether draws can be made of a limit's date."""
    return limit.beyond or _points(limit) is not None


def has_life(limit: AheadLimit) -> bool:
    """Return whether draws can be made of a part yet to come."""
    return _median_life(limit) is not None


def first_ends(
    *, limits: Sequence[AheadLimit], machine_key: int, deviates: Deviates, as_of: date
) -> Floats:
    """Return the years (draws,) from a day until the first of some limits is met.

    Not negative: what may be met already counts as met that day. NEVER where no limit
    has a date.
    """
    known = [limit for limit in limits if has_date(limit)]
    if not known:
        return np.full(deviates.draws, NEVER)
    z = deviates.of_places(
        machine_key=machine_key,
        group=GROUP_OF[known[0].quantity],
        segment=0,
        classes=[limit.wear_class or limit.quantity for limit in known],
    )
    rows = [_years(limit, row, as_of) for limit, row in zip(known, z, strict=True)]
    found: Floats = np.maximum(np.min(np.stack(rows), axis=0), 0.0)
    return found


def later_lives(
    *,
    limits: Sequence[AheadLimit],
    machine_key: int,
    segment: int,
    deviates: Deviates,
    spread: float,
) -> Floats:
    """Return the years (draws,) that a group runs after it was renewed."""
    lives = [(limit, _median_life(limit)) for limit in limits]
    known = [(limit, life) for limit, life in lives if life is not None]
    if not known:
        return np.full(deviates.draws, NEVER)
    z = deviates.of_places(
        machine_key=machine_key,
        group=GROUP_OF[known[0][0].quantity],
        segment=segment,
        classes=[limit.wear_class or limit.quantity for limit, _ in known],
    )
    logs = np.array([log(life) for _, life in known])[:, None] + spread * z
    found: Floats = np.maximum(np.exp(np.min(logs, axis=0)), SHORTEST)
    return found


def _median_life(limit: AheadLimit) -> float | None:
    if limit.limit is None or limit.rate_per_year is None:
        return None
    if limit.limit <= 0.0 or limit.rate_per_year <= 0.0:
        return None
    return limit.limit / limit.rate_per_year


def _years(limit: AheadLimit, z: Floats, as_of: date) -> Floats:
    """Return the years from a day to the limit at some normal deviates."""
    points = _points(limit)
    if limit.beyond or points is None:
        return np.full(z.shape, NEVER)
    deviates, values, in_logs, slope = points
    found = np.interp(z, deviates, values)
    low, high = z < deviates[0], z > deviates[-1]
    first = (values[1] - values[0]) / (deviates[1] - deviates[0])
    found = np.where(low, values[0] + first * (z - deviates[0]), found)
    found = np.where(high, values[-1] + slope * (z - deviates[-1]), found)
    years = np.exp(np.minimum(found, 10.0)) if in_logs else found
    lag = years_between(as_of, limit.last_on) if limit.last_on else 0.0
    result: Floats = years + lag
    return result


@lru_cache(maxsize=65536)
def _points(limit: AheadLimit) -> Points | None:
    """Return deviates, times since the last reading, whether in logarithms, slope.

    Where a question keeps the dates back the planning date stands for the early one.
    """
    early = limit.p10_on or limit.plan_before_on
    if early is None or limit.last_on is None:
        return None
    days = (limit.p02_on, early, limit.p50_on, limit.p90_on)
    years = [None if day is None else years_between(limit.last_on, day) for day in days]
    if years[2] is None:
        years[2] = _middle(limit, years[1])
    if years[2] is None and limit.p10_on is None:
        years[2] = years[1]
    known = [
        (z, time) for z, time in zip(_DEVIATES, years, strict=True) if time is not None
    ]
    if years[2] is None or len(known) < 2:
        return None
    deviates = tuple(z for z, _ in known)
    times = tuple(time for _, time in known)
    in_logs = times[0] > _SMALLEST
    values = tuple(map(log, times)) if in_logs else times
    slope = (values[-1] - values[-2]) / (deviates[-1] - deviates[-2])
    return deviates, values, in_logs, slope


def _middle(limit: AheadLimit, p10: float | None) -> float | None:
    """Return the median by level and rate where only early dates are shown."""
    if limit.limit is None or limit.rate_per_year is None or p10 is None:
        return None
    if limit.rate_per_year <= 0.0:
        return None
    middle = (limit.limit - (limit.level or 0.0)) / limit.rate_per_year
    return middle if middle > p10 else None
