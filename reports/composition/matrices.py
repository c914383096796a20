"""The readings behind the findings: a table a kind, a line a place, a column a day."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Reading
from inspections.reasons.places import together
from reports import content
from reports.composition import crossed, readings, who_read, words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

# About what a line of a table holds, in letters; never fewer or more columns.
_LETTERS, _BETWEEN = 108, 3
_FEWEST_DAYS, _MOST_DAYS = 2, 9
# Places told in one line, and how many letters of them are still read.
_OF_PLACES, _LONGEST_PLACES = 18.0, 70
_SHORTEST, _LONGEST_PLACE = 10, 34
# Places of one day stand in two halves side by side from so many on.
_MANY_PLACES = 6
_NOTHING = "–"
# Letters that half a page is wide enough for: two tables stand there side by side.
# So many days are enough for that; the earlier ones stand on the machine's page.
_HALF_A_PAGE, _ENOUGH_DAYS = 52, 3
# With hardly more values than places a column for each day would be nearly empty.
_NEARLY_EMPTY = 2.2


@dataclass(frozen=True, slots=True, kw_only=True)
class _Matrix:
    """The readings of one kind: what all places share, a line a place, its days."""

    kind: str
    shared: tuple[str, ...]
    days: tuple[date, ...]
    lines: tuple[tuple[str, tuple[str, ...]], ...]
    shown: tuple[Reading, ...]
    earlier: int
    is_alike: bool


def of_machine(
    facts: MachineRecord, *, reader: Reader, people: Mapping[int, str]
) -> tuple[dict[int, str], tuple[content.Table, ...]]:
    """Return labels of the readings behind the findings, and their tables.

    A label is the reading's id, which the API answers to. `people` are names of
    members by the id of their membership.
    """
    used = {pk for f in facts.findings for pk in f.readings}
    found = [facts.readings[pk] for pk in sorted(used) if pk in facts.readings]
    found.sort(key=lambda reading: (reading.kind, readings.place_order(reading)))
    usual = who_read.usual(found)
    tables = []
    for kind, members in groupby(found, key=lambda reading: reading.kind):
        matrix = _matrix(kind, list(members), reader=reader)
        made = _table(
            matrix,
            machine=facts.machine.code,
            reader=reader,
            people=people,
            usual=usual,
        )
        tables.append(made)
    if tables and usual is not None:
        said = who_read.said_once(usual, people=people)
        note = " ".join(filter(None, (said, tables[0].note)))
        tables[0] = replace(tables[0], note=note)
    return {reading.pk: readings.label(reading) for reading in found}, tuple(tables)


def members_of(facts: MachineRecord) -> set[int]:
    """Return the memberships of those who took the readings behind the findings."""
    used = {pk for f in facts.findings for pk in f.readings}
    return {
        facts.readings[pk].visit.membership_id for pk in used if pk in facts.readings
    }


def _matrix(kind: str, members: Sequence[Reading], *, reader: Reader) -> _Matrix:
    """Return the newest days that a page is wide enough for; the others counted."""
    shared = readings.shared_place(members)
    places = [readings.place_without(reading, shared) for reading in members]
    told = [readings.told(reading) for reading in members]
    width = max(map(len, told)) + _BETWEEN
    room = _LETTERS - min(max(map(len, places)), _LONGEST_PLACE) - _BETWEEN
    most = min(max(room // width, _FEWEST_DAYS), _MOST_DAYS)
    most = _beside_another(places, told) or most
    # What never changed is told by its newest day.
    most = 1 if _are_alike(members) else most
    days = sorted({readings.day_of(reading, reader) for reading in members})[-most:]
    cells: dict[str, dict[date, list[str]]] = {}
    shown = []
    for reading, place, text in zip(members, places, told, strict=True):
        day = readings.day_of(reading, reader)
        if day in days:
            cells.setdefault(place, {}).setdefault(day, []).append(text)
            shown.append(reading)
    lines = tuple(
        (place, tuple("; ".join(line.get(day, (_NOTHING,))) for day in days))
        for place, line in cells.items()
    )
    return _Matrix(
        kind=kind,
        shared=tuple(shared),
        days=tuple(days),
        lines=lines,
        shown=tuple(shown),
        earlier=len(members) - len(shown),
        is_alike=_are_alike(members),
    )


def _are_alike(members: Sequence[Reading]) -> bool:
    """Return whether every reading is one word or count, such as no broken wire."""
    is_counted = all(reading.typed_unit in ("", "1") for reading in members)
    return is_counted and len({(r.word, r.value) for r in members}) == 1


def _beside_another(places: Sequence[str], told: Sequence[str]) -> int:
    """Return for how many days half a page is wide enough; 0 for too few."""
    place, value = (
        min(max(_SHORTEST, *map(len, texts)), _LONGEST_PLACE)
        for texts in (places, told)
    )
    days = (_HALF_A_PAGE - place) // value
    return min(days, _MOST_DAYS) if days >= _ENOUGH_DAYS else 0


def _table(
    matrix: _Matrix,
    *,
    machine: str,
    reader: Reader,
    people: Mapping[int, str],
    usual: int | None,
) -> content.Table:
    title = f"{machine}: {words.kind(matrix.kind)}"
    if matrix.shared:
        title += f" ({', '.join(matrix.shared)})"
    columns = (
        content.Column(heading=_("Where"), share=_letters(0, matrix)),
        *(
            content.Column(heading=reader.day(day), share=_letters(at, matrix))
            for at, day in enumerate(matrix.days, 1)
        ),
    )
    rows = tuple((place, *cells) for place, cells in matrix.lines)
    across = crossed.of(matrix.shown, shared=matrix.shared, reader=reader)
    is_nearly_empty = len(matrix.shown) <= _NEARLY_EMPTY * len(rows)
    where, told = _as_one(matrix)
    is_short = len(where) <= _LONGEST_PLACES
    if matrix.is_alike and len(matrix.days) == 1 and len(rows) > 1 and is_short:
        columns, rows = _columns_of_one(columns), ((where, told),)
    elif across is not None:
        columns, rows = across.columns, across.rows
    elif len(matrix.days) > 1 and len(rows) > _MANY_PLACES and is_nearly_empty:
        columns, rows = _with_days(matrix, reader=reader)
        columns, rows = (*columns, *columns), _in_halves(rows)
    elif len(matrix.days) == 1 and len(rows) > _MANY_PLACES:
        columns, rows = (*columns, *columns), _in_halves(rows)
    return content.Table(
        title=title,
        columns=columns,
        rows=rows,
        note=" ".join(
            (
                *([across.note] if across is not None else []),
                *who_read.taken(
                    matrix.shown, reader=reader, people=people, usual=usual
                ),
                *_earlier(matrix),
            )
        ),
    )


def _with_days(
    matrix: _Matrix, *, reader: Reader
) -> tuple[tuple[content.Column, ...], tuple[tuple[str, ...], ...]]:
    """Return a line for each place with its values, the day beside each."""
    days = [reader.day(day) for day in matrix.days]
    rows = tuple(
        (
            place,
            "; ".join(
                f"{told}, {day}"
                for told, day in zip(cells, days, strict=True)
                if told != _NOTHING
            ),
        )
        for place, cells in matrix.lines
    )
    columns = (
        content.Column(heading=_("Where"), share=float(_LONGEST_PLACE)),
        content.Column(heading=_("Read"), share=float(_LONGEST_PLACE)),
    )
    return columns, rows


def _columns_of_one(
    columns: Sequence[content.Column],
) -> tuple[content.Column, ...]:
    """Return columns for places in one line, as wide as half a page allows."""
    shares = (_OF_PLACES, _HALF_A_PAGE - _OF_PLACES)
    return tuple(replace(c, share=s) for c, s in zip(columns, shares, strict=True))


def _as_one(matrix: _Matrix) -> tuple[str, str]:
    """Return in one line what all places have: where, and what with its readings."""
    parts = [readings.part_of(reading) for reading in matrix.shown]
    where = "; ".join(place for place, _told in matrix.lines)
    if len(set(parts)) == len(matrix.lines) and None not in parts:
        where = words.places(together(part for part in parts if part is not None))
    labels = ", ".join(readings.label(reading) for reading in matrix.shown)
    remarks = {readings.remark(reading) for reading in matrix.shown} - {""}
    told = ", ".join((labels, *sorted(remarks)))
    return where, f"{readings.typed(matrix.shown[0])} ({told})"


def _letters(at: int, matrix: _Matrix) -> float:
    """Return how much room a column needs, in letters."""
    cells = ((place, *told)[at] for place, told in matrix.lines)
    longest = max(map(len, cells), default=0)
    return float(min(max(longest, _SHORTEST), _LONGEST_PLACE))


def _in_halves(rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Return the second half of the rows beside the first."""
    half = (len(rows) + 1) // 2
    second = [*rows[half:], *[("",) * len(rows[0])] * (2 * half - len(rows))]
    return tuple((*one, *other) for one, other in zip(rows[:half], second, strict=True))


def _earlier(matrix: _Matrix) -> Iterator[str]:
    if matrix.earlier and matrix.is_alike:
        yield ngettext(
            "%(count)s earlier reading, the same.",
            "%(count)s earlier readings, all the same.",
            matrix.earlier,
        ) % {"count": matrix.earlier}
    elif matrix.earlier:
        yield ngettext(
            "%(count)s earlier reading.",
            "%(count)s earlier readings.",
            matrix.earlier,
        ) % {"count": matrix.earlier}
