"""What is drawn by lot of a life: a twin's register, a reading that is worse."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from random import Random

from tests.histories import machines, worse
from tests.histories.changes import LESS_REGISTER, WORSE_REGISTER, Change
from tests.histories.lean import ANY, Lean
from tests.histories.machines import Entry
from tests.histories.steps import Row

_LAYS_IN_30_D = 5.0
_PARTS = ("breaks_worst_strand", "breaks_adjacent", "breaks_valley")

# What goes wrong, and how often: what is worked out hides more than what is seen.
BAD: Mapping[str, int] = {
    "rope_diameter": 3,
    "bottom_clearance": 4,
    "rope_crown_height": 3,
    "seat_band_width": 4,
    "breaks_total": 4,
    "breaks_worst_strand": 2,
    "rope_mark_offset": 2,
    "rouge": 1,
    "rim_thickness": 2,
    "levelling_error": 1,
    "slip_seen": 1,
    "brake_slide_seen": 1,
    "check": 1,
    "breaks_adjacent": 1,
    **dict.fromkeys(worse.FURTHER, 1),
}
# What a twin reads worse.
WORSE: Mapping[str, int] = {kind: BAD.get(kind, 1) for kind in worse.ALL}


def register(
    random: Random, entry: Entry, lean: Lean, *, kept: Collection[tuple[str, str]] = ()
) -> tuple[Change, Entry]:
    """Return a twin's register, with one value worse or not known; some are kept."""
    worse_values = [
        (part, *row)
        for part, rows in worse.REGISTER.items()
        for row in rows
        if machines.value_of(entry, part, row[0]) == row[1]
    ]
    if worse_values and random.random() < lean.worse_register:
        leant = [each for each in worse_values if each[:2] in lean.register]
        part, name, before, after = random.choice(leant or worse_values)
        said = f"{part}.{name} {before} -> {after}"
        return (
            Change(sort=WORSE_REGISTER, said=said),
            machines.with_value(entry, part, name, after),
        )
    known = [each for each in machines.fields_of(entry) if each not in kept]
    part, name = random.choice([f for f in known if f in lean.register] or known)
    return (
        Change(sort=LESS_REGISTER, said=f"{part}.{name} empty"),
        machines.without(entry, part, name),
    )


def worsened(
    random: Random,
    rows: Sequence[Row],
    *,
    kinds: Mapping[str, int],
    lean: Lean = ANY,
) -> Row:
    """Return one of the readings, worse; some kinds more often."""
    found = sorted({row.kind for row in rows if row.kind in kinds})
    kind = random.choice([kind for kind in found for _ in range(kinds[kind])])
    rule = worse.ALL[kind]
    own = [row for row in rows if row.kind == kind]
    if rule.otherwise:
        # What disagrees already is no worse by disagreeing otherwise.
        own = [row for row in own if row.good] or own
    # What is bad already, or beside it, shows more than what is well within.
    bad = {(row.groove, row.rope) for row in rows if not row.good}
    near = [row for row in own if (row.groove, row.rope) in bad]
    row = random.choice(near if near and random.random() < lean.near else own)
    if rule.otherwise and not row.good:
        return row
    if rule.words:
        return replace(row, word=rule.of_word(row.word, random))
    if rule.outward:
        return _outward(random, row, rows)
    if kind == "breaks_total" and row.value and random.random() < lean.otherwise:
        return _over_30_d(row)
    if lean.above and kind in _PARTS and random.random() < lean.above:
        return _above_the_total(row, rows)
    return replace(row, value=rule.of_value(row.value or 0.0, random, lean.by))


def _outward(random: Random, row: Row, rows: Sequence[Row]) -> Row:
    """Return the least or greatest of its kind at its place, further out."""
    beside = [each for each in rows if (each.kind, each.place) == (row.kind, row.place)]
    end, sign = random.choice(((min, -1.0), (max, 1.0)))
    furthest = end(beside, key=lambda each: each.value or 0.0)
    share = sign * random.choice(worse.ALL[row.kind].steps)
    return replace(furthest, value=(furthest.value or 0.0) * (1.0 + share))


def _over_30_d(row: Row) -> Row:
    """Return a count over 30 d that holds at least as many in one of its lays."""
    place = dict(row.place) | {"window": "30d"}
    number = _LAYS_IN_30_D * (row.value or 0.0)
    return replace(row, value=number, place=tuple(sorted(place.items())))


def _above_the_total(row: Row, rows: Sequence[Row]) -> Row:
    """Return a part of a count that holds more than the whole count beside it."""
    totals = [
        each.value or 0.0
        for each in rows
        if each.kind == "breaks_total" and each.rope == row.rope
    ]
    return replace(row, value=max([row.value or 0.0, *totals]) + 1.0)


def value(row: Row) -> str:
    return row.word or f"{row.value:.2f}"
