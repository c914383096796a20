"""What was seen of one rope since it was fitted, as the kernel judges it.

Broken wires, lost diameter and rouge do not heal: each visit and station stands beside
the others, and what is thin counts as far as later independent readings leave it.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from fleet.models import Rope
from inspections.engineering import evidence
from inspections.engineering.discard import (
    BreakCount,
    Distribution,
    Lubrication,
    Observation,
    Rouge,
    Window,
)
from inspections.inputs import Snapshot, is_unconfirmed, noise, sightings
from inspections.inputs.last_visit import of_last_visit
from inspections.models import Reading

_ROUGE = {"none": Rouge.NONE, "trace": Rouge.TRACE, "heavy": Rouge.HEAVY}
_WINDOWS = {
    "lay": Window.LAY,
    "6d": Window.SIX_DIAMETERS,
    "30d": Window.THIRTY_DIAMETERS,
}
_COUNTS = {
    "breaks_total": "total",
    "breaks_worst_strand": "worst_strand",
    "breaks_two_worst_strands": "two_worst_strands",
    "breaks_adjacent": "adjacent",
    "breaks_valley": "valley",
}
_LIE = {"even": Distribution.EVEN, "predominant": Distribution.PREDOMINANT}
# The worst a finger shows first; a faint smudge is right.
_OILED = ("wet", "dry", "smudge")


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeSeen:
    """Observations of one rope, and the readings they rest on.

    `uncounted` are words on how breaks lie where nobody counted them.
    """

    observations: tuple[Observation, ...]
    readings: tuple[int, ...]
    counted: bool
    unconfirmed: bool
    uncounted: tuple[int, ...] = ()


def of_rope(snapshot: Snapshot, row: Rope) -> RopeSeen:
    """Return what was seen of a rope. Raises Missing, OutsideValidity."""
    rope_set = snapshot.need_rope_set()
    read: Mapping[str, list[Reading]] = _by_kind(snapshot, row)
    strands = rope_set.strand_class.partition("x")[0]
    counts, counted = _breaks(read)
    places = _thin_places(snapshot, read["rope_diameter"])
    rouge = [r for r in read["rouge"] if r.word in _ROUGE]
    lays, flats = (
        _worst_number(read["lay_length"]),
        _worst_number(read["crown_wire_flat"]),
    )
    oiled = _last_word(read["lubrication"], _OILED)
    twisted = [r for r in read["twist"] if r.word]
    unworn = _worst_number(read["rope_diameter_unworn"])
    worn, caged = read["wires_worn_or_rusted"], read["rope_deformation"]
    first = places[0] if places else ((), ())
    unworn_mm = unworn.value if unworn else None
    whole = Observation(
        nominal_diameter_mm=rope_set.nominal_diameter_mm,
        strands=int(strands) if strands.isdigit() else None,
        further=counts,
        rouge=max((_ROUGE[r.word or ""] for r in rouge), default=None),
        wires_worn_or_rusted=_ever_seen(worn),
        deformation_seen=_ever_seen(caged),
        diameters_mm=first[0],
        unworn_diameter_mm=unworn_mm,
        lay_length_mm=lays.value if lays else None,
        lay_length_as_fitted_mm=rope_set.lay_length_mm,
        crown_flat_mm=flats.value if flats else None,
        twist_seen=_ever_seen(twisted),
        lubrication=Lubrication(oiled.word) if oiled and oiled.word else None,
    )
    others = tuple(
        Observation(
            nominal_diameter_mm=rope_set.nominal_diameter_mm,
            strands=whole.strands,
            diameters_mm=values,
            unworn_diameter_mm=unworn_mm,
        )
        for values, _ in places[1:]
    )
    thin = [r for _, rows in places for r in rows]
    single = [r for r in (lays, flats, oiled, unworn) if r is not None]
    used = [*counted, *rouge, *twisted, *worn, *caged, *single, *thin]
    return RopeSeen(
        observations=(whole, *others),
        readings=tuple(dict.fromkeys(r.pk for r in used)),
        counted=bool(counts),
        uncounted=tuple(r.pk for r in read["breaks_distribution"]),
        unconfirmed=any(is_unconfirmed(r) for r in used),
    )


def _by_kind(snapshot: Snapshot, row: Rope) -> Mapping[str, list[Reading]]:
    """Return what was read of a rope by kind, without what a release has answered."""
    by_rope = snapshot.once("readings of ropes", lambda: _by_rope(snapshot))
    found: Mapping[str, list[Reading]] = by_rope[row.pk]
    return found


def _by_rope(snapshot: Snapshot) -> Mapping[int, Mapping[str, list[Reading]]]:
    found: dict[int, dict[str, list[Reading]]] = defaultdict(lambda: defaultdict(list))
    for reading in snapshot.readings:
        if reading.rope_id is not None and reading.pk not in snapshot.answered:
            found[reading.rope_id][reading.kind].append(reading)
    return found


def _breaks(
    read: Mapping[str, list[Reading]],
) -> tuple[tuple[BreakCount, ...], list[Reading]]:
    """Return each count of a visit over one window at one station, and the readings."""
    groups: dict[tuple[int, str, str], dict[str, int]] = defaultdict(dict)
    used = []
    for kind, name in _COUNTS.items():
        for reading in read[kind]:
            if reading.value is None:
                continue
            group = groups[_counted_at(reading)]
            group[name] = max(group.get(name, 0), int(reading.value))
            used.append(reading)
    lie: dict[tuple[int, str, str], Distribution] = {}
    for reading in read["breaks_distribution"]:
        at = _counted_at(reading)
        if at in groups and lie.get(at) is not Distribution.PREDOMINANT:
            lie[at] = _LIE[reading.word or ""]
            used.append(reading)
    counts = {
        BreakCount(
            window=_WINDOWS.get(at[-1], Window.LAY),
            total=group.get("total"),
            worst_strand=group.get("worst_strand"),
            two_worst_strands=group.get("two_worst_strands"),
            adjacent=group.get("adjacent"),
            valley=group.get("valley"),
            distribution=lie.get(at),
        )
        for at, group in groups.items()
    }
    return tuple(sorted(counts, key=repr)), used


def _counted_at(reading: Reading) -> tuple[int, str, str]:
    place = reading.place
    return (
        reading.visit_id,
        str(place.get("station", "")),
        str(place.get("window", "lay")),
    )


Place = tuple[tuple[float, ...], tuple[Reading, ...]]


def _thin_places(snapshot: Snapshot, read: Sequence[Reading]) -> list[Place]:
    """Return the thinnest place by its smaller and by its larger direction.

    Two directions of one visit and station belong together; which of the two decides
    is the set's own. One direction alone stands behind places with both.
    """
    whole = _counted(read)
    if not whole:
        return []
    pairs = [each for each in whole if len(each[0]) > 1]
    thinnest = [min(pairs, key=lambda each: each[0][1])] if pairs else []
    thinnest.append(min(whole, key=lambda each: each[0][0]))
    found: list[Place] = []
    for each in thinnest:
        if each not in found:
            found.append(each)
    return found


def _counted(read: Sequence[Reading]) -> list[Place]:
    """Return the directions of each visit and station, the thinner first [mm]."""
    by_mark: dict[str, dict[int, list[Reading]]]
    by_mark = defaultdict(lambda: defaultdict(list))
    for reading in read:
        if reading.value is not None:
            place = reading.place
            mark = f"{place.get('station', '')}/{place.get('direction', '')}"
            by_mark[mark][reading.visit_id].append(reading)
    places: dict[tuple[int, str], list[tuple[float, Reading]]] = defaultdict(list)
    for mark, visits in by_mark.items():
        rows = list(visits.values())
        left = evidence.counts_as_mm(
            sightings=[_sighting(each, mark) for each in rows], falls=True
        )
        for each, value in zip(rows, left, strict=True):
            place = (each[0].visit_id, mark.partition("/")[0])
            # Without a direction each reading may be one of its own: both directions
            # are moved alike, so that the thinner of two is no thicker for its pair.
            if mark.endswith("/") and len(each) > 1:
                moved = value - _middle(each)
                places[place] += [(r.value + moved, r) for r in _two_of(each)]
            else:
                places[place].append((value, each[0]))
    return [
        (tuple(value for value, _ in two), tuple(row for _, row in pairs))
        for pairs in places.values()
        for two in [sorted(pairs, key=lambda pair: pair[0])[:2]]
    ]


def _middle(rows: Sequence[Reading]) -> float:
    return median(r.value or 0.0 for r in rows)


def _two_of(rows: Sequence[Reading]) -> tuple[Any, Any]:
    """Return one reading for each of two directions that were not told apart.

    Of two they are these two; of more, the ones in the middle of either half, so that
    a single stray among three is outvoted as at any other place.
    """
    ordered = sorted(rows, key=lambda row: row.value or 0.0)
    quarter = (len(ordered) + 1) // 4
    return ordered[quarter], ordered[-1 - quarter]


def _sighting(rows: Sequence[Reading], mark: str) -> evidence.Sighting:
    return sightings.sighting(
        value_mm=_middle(rows),
        sd_mm=max(noise.of(r) for r in rows),
        taken_at=rows[0].taken_at,
        visit_id=rows[0].visit_id,
        readings=rows,
        mark=mark,
    )


def _ever_seen(read: Sequence[Reading]) -> bool | None:
    """Return whether something that does not heal was ever seen; None if unread."""
    return any(r.word == "seen" for r in read) if read else None


def _worst_number(read: Iterable[Reading]) -> Reading | None:
    """Return the reading with the highest value, None without any."""
    found = [r for r in read if r.value is not None]
    return max(found, key=lambda reading: reading.value or 0.0, default=None)


def _last_word(read: Sequence[Reading], worst_first: Sequence[str]) -> Reading | None:
    """Return the worst word of the last visit: what is put right is not carried on."""
    last = of_last_visit(read)
    known = [r for r in last if r.word in worst_first]
    return min(known, key=lambda reading: worst_first.index(reading.word), default=None)
