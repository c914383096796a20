"""How long what runs now will run, and what comes after it: draws of years.

The dates of a forecast are turned into draws by their quantiles: in between the
logarithm of the time since the last reading is straight over the normal deviate, the
same shape as the forecasts' own. `coming` draws the parts that follow, `knowing` says
by which day people plan in each draw.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from math import log

import numpy as np

from inspections.decisions.dates import years_between
from inspections.decisions.future import knowing
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.knowing import Floats, Learning, Measurable
from inspections.decisions.future.wearing import GROUP_OF, EndsTogether
from inspections.decisions.records import AheadLimit

NEVER = 1e6
"""Years; stands for a limit that is not met within any horizon."""
_DEVIATES = (-knowing.P2, -1.2815515655446004, 0.0, 1.2815515655446004)
_SMALLEST = 1e-3

Points = tuple[tuple[float, ...], tuple[float, ...], bool, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """When a group ends, in years from a day or from its renewal (draws,).

    met : the first of its limits is reached
    stops : the first of its limits of safety is met, from when on the machine stands
    planned : the earliest day that people plan by, as they know the wear by then
    """

    met: Floats
    stops: Floats
    planned: Floats


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


def first_ends(
    *,
    limits: Sequence[AheadLimit],
    machine_key: int,
    deviates: Deviates,
    as_of: date,
    unevenness: float,
    lead_years: float = 0.0,
    unknown: Measurable | None = None,
) -> Ends:
    """Return when a group ends that runs now; years are from a day.

    Not negative: what may be met already counts as met that day. NEVER where no limit
    has a date.
    """
    places = [_Running(limit, as_of) for limit in limits if has_date(limit)]
    if not places:
        never = np.full(deviates.draws, NEVER)
        return Ends(met=never, stops=never, planned=never)
    still_open = knowing.shares_open(
        used=np.array([_used(place.limit) for place in places]),
        middle=np.array([place.middle for place in places]),
        planned=np.stack([place.planned_by_share for place in places]),
        lead_years=lead_years,
        learning=[learning_of(each.limit, deviates, unevenness) for each in places],
    )
    return _first_of(
        places,
        still_open=still_open,
        machine_key=machine_key,
        deviates=deviates,
        unknown=unknown,
    )


class _Running:
    """A place that wears now: years from a day, as its forecast shows them.

    middle : median years
    planned_by_share : years (shares,) until the planning date, by the share that is
        open then
    """

    def __init__(self, limit: AheadLimit, as_of: date) -> None:
        self.limit, self._as_of = limit, as_of
        # One share is the whole spread: P2 of today is the first of them.
        years = _years(limit, np.append(-knowing.P2 * knowing.SHARES, 0.0), as_of)
        self.middle = float(years[-1])
        self._ahead = self._plan_ahead(float(years[0]))
        self.planned_by_share = years[:-1] - self._ahead * knowing.SHARES

    def ends(self, own: Floats, told: Floats, k: float) -> tuple[Floats, Floats]:
        """Return when the limit is met and what is planned by, by deviates (draws,).

        k : share of the spread that is open when work is ordered
        """
        years = _years(self.limit, np.stack([own, told]), self._as_of)
        return np.maximum(years[0], 0.0), years[1] - self._ahead * k

    def _plan_ahead(self, p02: float) -> float:
        """Return by how many years the planning date lies before P2; guards do that."""
        day = self.limit.plan_before_on
        if day is None or self.limit.beyond:
            return 0.0
        return max(p02 - years_between(self._as_of, day), 0.0)


def _first_of(
    places: Sequence[_Running],
    *,
    still_open: Floats,
    machine_key: int,
    deviates: Deviates,
    unknown: Measurable | None,
) -> Ends:
    """Return when the first of some places ends, and when work is planned for."""
    z, read = (
        deviates.of_places(
            machine_key=machine_key,
            group=GROUP_OF[places[0].limit.quantity],
            segment=0,
            classes=[class_of(each.limit) for each in places],
            of=of,
        )
        for of in (0, 1)
    )
    told = knowing.told(z, read, still_open[:, None])
    met = planned = stops = np.full(deviates.draws, NEVER)
    blur = deviates.of_unknown(machine_key=machine_key) if unknown else met
    for row, place in enumerate(places):
        own, by, k = z[row], told[row], float(still_open[row])
        share = unknown.shares.get(place.limit.key, 0.0) if unknown else 0.0
        if unknown and share:
            by = knowing.told_beside(
                own, read[row], k, blur, share, is_known=unknown.is_known
            )
            own = knowing.beside(own, blur, share)
        at, plan = place.ends(own, by, k)
        met, planned = np.minimum(met, at), np.minimum(planned, plan)
        if place.limit.safety:
            stops = np.minimum(stops, at)
    return Ends(met=met, stops=stops, planned=np.maximum(planned, 0.0))


def class_of(limit: AheadLimit) -> str:
    """Return the class of wear; machines of one class share what is not known."""
    return limit.wear_class or limit.quantity


def learning_of(limit: AheadLimit, deviates: Deviates, unevenness: float) -> Learning:
    """Return how the end of a limit's life comes to be known."""
    spread = deviates.taken(class_of(limit)).rate_spread
    return Learning(spread=spread, unevenness=unevenness)


def _used(limit: AheadLimit) -> float:
    """Return the share of its limit that a place has worn."""
    if limit.level is None or limit.limit is None or limit.limit <= 0.0:
        return 0.0
    return min(max(limit.level / limit.limit, 0.0), 1.0)


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
