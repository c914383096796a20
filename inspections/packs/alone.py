"""Where one number alone takes a machine out of service by its own criteria.

The criteria are asked as they stand, about a rope of which nothing else was seen: the
end of a band is where their answer changes. Several readings together may say more;
that only the server judges, once they have come in.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache, partial
from typing import Any

from inspections.assessment import grading
from inspections.engineering import discard
from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard import BreakCount, Observation
from inspections.inputs import Snapshot
from inspections.kinds.bands import Acts, End
from inspections.models import Grade

# Kinds that count broken wires in one lay, and what each of them counts.
COUNTS = {
    "breaks_total": "total",
    "breaks_worst_strand": "worst_strand",
    "breaks_two_worst_strands": "two_worst_strands",
    "breaks_adjacent": "adjacent",
    "breaks_valley": "valley",
}
DIAMETER = "rope_diameter"
# Who says so: not the kind, by which the intake judges.
CRITERIA = "criteria"
# Counts go the other way than what is usual of a kind ever does.
AT_OR_ABOVE = "at_or_above"
# More wires than any lay has; a rope thinner than this is no rope of its size.
_MOST_BREAKS = 1000
_THINNEST_RATIO = 0.5


def bands(snapshot: Snapshot) -> Mapping[str, dict[str, Any]]:
    """Return the bands of a machine's own criteria, by kinds of readings.

    Without the ropes' size, or the number of their strands, there are none.
    """
    rope_set = snapshot.rope_set
    strands = rope_set.strand_class.partition("x")[0] if rope_set else ""
    if rope_set is None or not strands.isdigit():
        return {}
    new = Observation(
        nominal_diameter_mm=rope_set.nominal_diameter_mm, strands=int(strands)
    )
    return of_rope(new=new, criteria_set=snapshot.criteria)


@lru_cache(maxsize=512)
def of_rope(
    *, new: Observation, criteria_set: CriteriaSet
) -> Mapping[str, dict[str, Any]]:
    """Return the band of each kind by which one number stops, of ropes of a size."""
    return dict(_of_rope(new, criteria_set))


def _of_rope(
    new: Observation, criteria_set: CriteriaSet
) -> Iterator[tuple[str, dict[str, Any]]]:
    stops = partial(is_stopping, new=new, criteria_set=criteria_set)
    for kind in COUNTS:
        least = _least(partial(stops, kind))
        if least is not None:
            yield kind, _band(AT_OR_ABOVE, least)
    thickest = _thickest(partial(stops, DIAMETER), new.nominal_diameter_mm)
    if thickest is not None:
        yield DIAMETER, _band(End.AT_OR_BELOW.value, thickest)


def is_stopping(
    kind: str, value: float, *, new: Observation, criteria_set: CriteriaSet
) -> bool:
    """Tell whether a number, and nothing else, is to be acted on now."""
    if kind == DIAMETER:
        seen = _like(new, diameters_mm=(value,))
    else:
        counted: dict[str, Any] = {COUNTS[kind]: int(value)}
        seen = _like(new, further=(BreakCount(**counted),))
    found = discard.judge_stations(observations=(seen,), criteria_set=criteria_set)
    return any(grading.of_verdict(each, safety=True) == Grade.ACT_NOW for each in found)


def _like(new: Observation, **seen: Any) -> Observation:
    return Observation(
        nominal_diameter_mm=new.nominal_diameter_mm, strands=new.strands, **seen
    )


def _band(end: str, at: float) -> dict[str, Any]:
    found = {"end": end, "at": float(at), "unsafe": True, "acts": Acts.STOP.value}
    return found | {"by": CRITERIA}


def _least(stops: Callable[[float], bool]) -> int | None:
    """Return the least count that stops; None where none does."""
    if stops(0) or not stops(_MOST_BREAKS):
        return None
    low, high = 0, _MOST_BREAKS
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if stops(middle) else (middle, high)
    return high


def _thickest(stops: Callable[[float], bool], nominal_mm: float) -> float | None:
    """Return the greatest diameter that stops, to the last binary digit."""
    low, high = _THINNEST_RATIO * nominal_mm, nominal_mm
    if stops(high) or not stops(low):
        return None
    while math.nextafter(low, high) < high:
        middle = low + (high - low) / 2.0
        low, high = (middle, high) if stops(middle) else (low, middle)
    return low
