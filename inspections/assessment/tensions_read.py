"""What the ropes carry, visit by visit, whatever it was read with."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from math import inf

from inspections.inputs import Snapshot
from inspections.inputs.last_visit import visits_read
from inspections.models import Reading
from inspections.records import made_by_slots

FORCE, INDEX, WAVE, SPRING = (
    "rope_tension",
    "tension_index",
    "wave_time",
    "spring_length",
)
# Where several were read in one visit the first is told.
KINDS = (FORCE, INDEX, WAVE, SPRING)
# A rope that reads nothing counts with this share of the greatest, so that it is judged
# as slack; our rule.
SLACK_SHARE = 0.01
# So many ways to put the readings of a visit together are tried: three of six ropes.
_MOST_TRIED = 729
# A wave is timed over ten returns unless the place says otherwise.
_USUAL_RETURNS = 10
# Hitch springs are pressed together under load; unloaded they are no longer than this
# times the longest of the set: common practice, no source. The longer, the more equal.
LONGEST_FREE_RATIO = 1.6


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What one rope carries by one reading: newtons, or a share of any size."""

    value: float
    pk: int
    kind: str


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class TensionPlace:
    """Where and how tensions were read: the kind, the ropes' side, the car's place."""

    kind: str
    side: str
    position: str


# By rope, at each place of one visit.
Visit = Mapping[TensionPlace, Mapping[int, Carried]]
# The same in each way in which several readings of a rope can be put together.
VisitWays = Mapping[TensionPlace, Sequence[Mapping[int, Carried]]]


def by_visit(snapshot: Snapshot) -> Sequence[Visit]:
    """Return what was read of the ropes that are fitted, the newest visit first.

    Of several readings of a rope the least equal ones count.
    """
    return [
        {place: max(ways, key=_inequality) for place, ways in visit.items()}
        for visit in ways_by_visit(snapshot)
    ]


def ways_by_visit(snapshot: Snapshot) -> Sequence[VisitWays]:
    """Return it in every way to put the readings together, the newest visit first.

    A second reading of a rope is another person's, or was taken again on that visit.
    """
    current = {rope.pk for rope in snapshot.ropes}
    counted = [
        reading
        for reading in snapshot.of_kind(*KINDS)
        if reading.rope_id in current and reading.value is not None
    ]
    told_of = visits_read(counted)
    visits: dict[int, dict[TensionPlace, dict[int, list[Reading]]]] = {}
    for reading in counted:
        place = TensionPlace(
            kind=reading.kind,
            side=str(reading.place.get("side", "")),
            position=str(reading.place.get("car_position", "")),
        )
        read = visits.setdefault(told_of[reading.pk], {}).setdefault(place, {})
        read.setdefault(reading.rope_id or 0, []).append(reading)
    return [
        {place: _ways(place.kind, read) for place, read in each.items()}
        for each in reversed(visits.values())
    ]


def name_of(kind: str) -> str:
    """Return what the values of a kind are called: shares are no newtons."""
    return "tensions_n" if kind == FORCE else "tension_indices"


def returns_of(reading: Reading) -> int:
    """Return over how many returns a wave was timed."""
    told = str(reading.place.get("round_trips", ""))
    return int(told) if told.isdigit() and int(told) else _USUAL_RETURNS


def _ways(
    kind: str, read: Mapping[int, Sequence[Reading]]
) -> Sequence[dict[int, Carried]]:
    together = islice(product(*read.values()), _MOST_TRIED)
    return [_carried(kind, dict(zip(read, rows, strict=True))) for rows in together]


def _inequality(carried: Mapping[int, Carried]) -> tuple[float, float]:
    """Return the highest over the lowest, and then how far the mean is above it."""
    values = [each.value for each in carried.values()]
    if min(values) <= 0.0:
        return inf, inf
    return max(values) / min(values), sum(values) / min(values)


def share_of(carried: Mapping[int, Carried], rope_id: int) -> float:
    """Return what a rope carries over what all carry, 0 where nothing is carried."""
    whole = sum(each.value for each in carried.values())
    return carried[rope_id].value / whole if whole else 0.0


def _carried(kind: str, read: Mapping[int, Reading]) -> dict[int, Carried]:
    if kind == WAVE:
        values = {rope: _by_wave(reading) for rope, reading in read.items()}
    elif kind == SPRING:
        values = _by_springs(read)
    else:
        values = {rope: reading.value or 0.0 for rope, reading in read.items()}
    least = SLACK_SHARE * max(values.values())
    return {
        rope: Carried(value=max(values[rope], least), pk=reading.pk, kind=kind)
        for rope, reading in read.items()
    }


def _by_wave(reading: Reading) -> float:
    """Return a share: the force rises with the square of the wave's speed."""
    return (returns_of(reading) / (reading.value or 1.0)) ** 2


def _by_springs(read: Mapping[int, Reading]) -> dict[int, float]:
    """Return shares: equal springs are pressed together by what their ropes carry."""
    longest = max(reading.value or 0.0 for reading in read.values())
    usual_mm = LONGEST_FREE_RATIO * longest
    return {
        rope: max(
            float(reading.place.get("free_length_mm", usual_mm))
            - (reading.value or 0.0),
            0.0,
        )
        for rope, reading in read.items()
    }
