"""Broken wires of each rope as a series of counts that rises to the set's limit."""

from collections import defaultdict
from collections.abc import Iterator

from inspections.engineering import criteria
from inspections.engineering.limit import Bound, Limit
from inspections.forecasts.series import Point, WearSeries
from inspections.inputs import Snapshot
from inspections.models import Reading, WearLimit
from inspections.reasons import Code, because

BROKEN_WIRES = "broken_wires"
# Worst lay of a rope, by its strands; more strands break more wires before discard.
CLASSES = tuple(
    f"broken wires, {strands} strands" for strands in ("6", "8", "9", "other")
)
REASON = "BROKEN_WIRES_EVEN"
CAUTION = because(Code.BREAKS_EVEN_ONLY)
# The limits are given for one lay, which six diameters stand for (ISO 4344).
_WINDOWS = ("lay", "6d")


def of_machine(snapshot: Snapshot) -> Iterator[WearSeries]:
    """Yield one series of counts for each rope fitted now, read or not."""
    rope_set = snapshot.rope_set
    if rope_set is None:
        return
    strands = rope_set.strand_class.partition("x")[0]
    number = strands if f"broken wires, {strands} strands" in CLASSES else "other"
    found = _by_rope(snapshot)
    for rope in snapshot.ropes:
        limit = _limit(snapshot, strands)
        yield WearSeries(
            machine_id=snapshot.machine.pk,
            quantity=BROKEN_WIRES,
            place=f"rope {rope.number}",
            groove_id=None,
            rope_id=rope.pk,
            class_name=f"broken wires, {number} strands",
            begun_on=rope_set.fitted_on,
            # A new rope has none; counts have no gauge.
            tolerance_mm=0.5,
            points=tuple(_points(found.get(rope.pk, {}))),
            limit=limit,
            limit_level_mm=limit.value if limit else None,
        )


def _by_rope(snapshot: Snapshot) -> dict[int, dict[int, list[Reading]]]:
    found: dict[int, dict[int, list[Reading]]] = defaultdict(lambda: defaultdict(list))
    for reading in snapshot.of_kind("breaks_total"):
        if reading.rope_id is not None and reading.place.get("window") in _WINDOWS:
            found[reading.rope_id][reading.visit_id].append(reading)
    return found


def _points(visits: dict[int, list[Reading]]) -> Iterator[Point]:
    """Yield the worst count of each visit."""
    for visit_id, readings in visits.items():
        yield Point(
            taken_at=readings[0].taken_at,
            level_mm=max(reading.value or 0.0 for reading in readings),
            sd_mm=1.0,
            visit_id=visit_id,
            readings=tuple(reading.pk for reading in readings),
        )


def _limit(snapshot: Snapshot, strands: str) -> WearLimit | None:
    """Return the count at which the set's limit for even breaks is met."""
    found = criteria.lookup(
        criteria_set=snapshot.criteria,
        key="breaks_even",
        strands=int(strands) if strands.isdigit() else None,
    )
    count = _first_count(found)
    if count is None:
        return None
    return WearLimit(
        value=count,
        sd=0.0,
        reason=REASON,
        criterion=f"{found.words}; {found.source.text}"[:300],
        safety=True,
    )


def _first_count(limit: Limit) -> float | None:
    """Return the first whole count that is no longer in order."""
    if limit.value is None or limit.value < 1:
        return None
    below = limit.bound in (Bound.BELOW, Bound.ABOVE)
    return float(limit.value) if below else float(int(limit.value) + 1)
