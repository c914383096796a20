"""Where one reading alone takes a machine out of service by its own criteria.

The criteria are asked as they stand, about a rope of which nothing else was seen, or
the room under it: the end of a band is where their answer changes. Several readings
together may say more; that only the server judges, once they have come in.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache, partial
from typing import Any

from inspections.assessment import bottoms, grading
from inspections.engineering import discard
from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard import BreakCount, Observation, Rouge
from inspections.engineering.groove import BY_CODE
from inspections.engineering.verdict import Verdict
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
CLEARANCE = "bottom_clearance"
# What grows as a rope ends its life, and where it stands in what was seen of it.
LENGTHS = {"lay_length": "lay_length_mm", "crown_wire_flat": "crown_flat_mm"}
ROUGE = "rouge"
# Who says so: not the kind, by which the intake judges.
CRITERIA = "criteria"
# Counts go the other way than what is usual of a kind ever does.
AT_OR_ABOVE = "at_or_above"
# More wires than any lay has; a rope thinner than this is no rope of its size; a lay
# or a flat longer than this is none; as far apart are rope and bottom in no groove.
_MOST_BREAKS = 1000
_THINNEST_RATIO = 0.5
_LONGEST_RATIO = 30.0
_FARTHEST_MM = 100.0
_NO_LENGTH_MM = 1e-6

Bands = tuple[dict[str, Any], ...]


def bands(snapshot: Snapshot) -> Mapping[str, Bands]:
    """Return the bands of a machine's own criteria, by kinds of readings.

    Of ropes there are none without their size, and none of broken wires without the
    number of strands.
    """
    found: dict[str, Bands] = {}
    rope_set, shape = snapshot.rope_set, None
    if snapshot.geometry is not None:
        shape = BY_CODE.get(snapshot.geometry.form)
    if shape is None or shape.has_bottom:
        found |= of_groove(criteria_set=snapshot.criteria)
    if rope_set is not None:
        strands = rope_set.strand_class.partition("x")[0]
        new = Observation(
            nominal_diameter_mm=rope_set.nominal_diameter_mm,
            strands=int(strands) if strands.isdigit() else None,
            lay_length_as_fitted_mm=rope_set.lay_length_mm,
        )
        found |= of_rope(new=new, criteria_set=snapshot.criteria)
    return found


@lru_cache(maxsize=64)
def of_groove(*, criteria_set: CriteriaSet) -> Mapping[str, Bands]:
    """Return the band of the clearance under a rope."""
    stops = partial(is_near_the_bottom, criteria_set=criteria_set)
    most = _greatest(stops, low=-_FARTHEST_MM, high=_FARTHEST_MM)
    return {} if most is None else {CLEARANCE: (_band(End.AT_OR_BELOW.value, most),)}


@lru_cache(maxsize=512)
def of_rope(*, new: Observation, criteria_set: CriteriaSet) -> Mapping[str, Bands]:
    """Return the bands of each kind by which one reading stops, of ropes of a size."""
    return {kind: found for kind, found in _of_rope(new, criteria_set) if found}


def _of_rope(
    new: Observation, criteria_set: CriteriaSet
) -> Iterator[tuple[str, Bands]]:
    stops = partial(is_stopping, new=new, criteria_set=criteria_set)
    for kind in COUNTS if new.strands else ():
        least = _least(partial(stops, kind))
        yield kind, () if least is None else (_band(AT_OR_ABOVE, least),)
    nominal_mm = new.nominal_diameter_mm
    for kind in LENGTHS:
        longest_mm = _LONGEST_RATIO * nominal_mm
        least_mm = _smallest(partial(stops, kind), low=_NO_LENGTH_MM, high=longest_mm)
        yield kind, () if least_mm is None else (_band(AT_OR_ABOVE, least_mm),)
    yield (
        ROUGE,
        tuple(
            _band(End.EQUALS.value, word.name.lower())
            for word in Rouge
            if stops(ROUGE, word.name.lower())
        ),
    )
    most_mm = _greatest(
        partial(stops, DIAMETER), low=_THINNEST_RATIO * nominal_mm, high=nominal_mm
    )
    yield DIAMETER, () if most_mm is None else (_band(End.AT_OR_BELOW.value, most_mm),)


def is_stopping(
    kind: str, read: float | str, *, new: Observation, criteria_set: CriteriaSet
) -> bool:
    """Tell whether what was read on a rope, and nothing else, is to be acted on now."""
    found = discard.judge_stations(
        observations=(replace(new, **_seen(kind, read)),), criteria_set=criteria_set
    )
    return any(_acts(each) for each in found)


def is_near_the_bottom(clearance_mm: float, *, criteria_set: CriteriaSet) -> bool:
    """Tell whether a clearance under a rope is to be acted on now."""
    return _acts(
        discard.judge_value(
            criteria_set=criteria_set, key=bottoms.KEY, value=clearance_mm
        )
    )


def _acts(found: Verdict) -> bool:
    return grading.of_verdict(found, safety=True) == Grade.ACT_NOW


def _seen(kind: str, read: float | str) -> dict[str, Any]:
    """Return what a reading says of a rope."""
    if kind == ROUGE:
        return {"rouge": Rouge[str(read).upper()]}
    if kind == DIAMETER:
        return {"diameters_mm": (float(read),)}
    if kind in LENGTHS:
        return {LENGTHS[kind]: float(read)}
    counted: dict[str, Any] = {COUNTS[kind]: int(read)}
    return {"further": (BreakCount(**counted),)}


def _band(end: str, at: float | str) -> dict[str, Any]:
    found = {"end": end, "at": at, "unsafe": True, "acts": Acts.STOP.value}
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


def _greatest(
    stops: Callable[[float], bool], *, low: float, high: float
) -> float | None:
    """Return the greatest number that stops, to the last binary digit."""
    if stops(high) or not stops(low):
        return None
    return _between(stops, low, high)[0]


def _smallest(
    stops: Callable[[float], bool], *, low: float, high: float
) -> float | None:
    """Return the smallest number that stops, to the last binary digit."""
    if stops(low) or not stops(high):
        return None
    return _between(lambda number: not stops(number), low, high)[1]


def _between(
    is_so: Callable[[float], bool], low: float, high: float
) -> tuple[float, float]:
    """Return two neighbours, the last number of which something is so and the next."""
    while math.nextafter(low, high) < high:
        middle = low + (high - low) / 2.0
        low, high = (middle, high) if is_so(middle) else (low, middle)
    return low, high
