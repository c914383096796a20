"""The readings behind the findings: a table a kind, a line a place, a column a day."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Gauge, Reading
from reports import content
from reports.composition import readings, words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

# About what a line of a table holds, in letters; never fewer or more columns.
_LETTERS, _BETWEEN = 108, 3
_FEWEST_DAYS, _MOST_DAYS = 2, 9
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
    usual = _usual(found)
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
        said = _said_once(usual, people=people)
        note = " ".join(filter(None, (said, tables[0].note)))
        tables[0] = replace(tables[0], note=note)
    return {reading.pk: readings.label(reading) for reading in found}, tuple(tables)


def _usual(found: Sequence[Reading]) -> int | None:
    """Return the member who took most of the readings; None for none."""
    members = Counter(reading.visit.membership_id for reading in found)
    return max(members, key=lambda pk: (members[pk], -pk)) if members else None


def _said_once(usual: int, *, people: Mapping[int, str]) -> str:
    """Return what holds for all tables of a machine where they say nothing else."""
    return _(
        "Where nothing else is said of a table of this machine, %(person)s read it, "
        "without a gauge being stated. Earlier readings stand on the machine's page "
        "and in its CSV file."
    ) % {"person": people.get(usual, _("not known"))}


def members_of(facts: MachineRecord) -> set[int]:
    """Return the memberships of those who took the readings behind the findings."""
    used = {pk for f in facts.findings for pk in f.readings}
    return {
        facts.readings[pk].visit.membership_id for pk in used if pk in facts.readings
    }


def day_of(reading: Reading, reader: Reader) -> date:
    """Return the day a reading was taken, by the building's own calendar."""
    return reading.taken_at.astimezone(reader.zone).date()


def _matrix(kind: str, members: Sequence[Reading], *, reader: Reader) -> _Matrix:
    """Return the newest days that a page is wide enough for; the others counted."""
    shared = readings.shared_place(members)
    places = [readings.place_without(reading, shared) for reading in members]
    told = [readings.told(reading) for reading in members]
    width = max(map(len, told)) + _BETWEEN
    room = _LETTERS - min(max(map(len, places)), _LONGEST_PLACE) - _BETWEEN
    most = min(max(room // width, _FEWEST_DAYS), _MOST_DAYS)
    most = _beside_another(places, told) or most
    days = sorted({day_of(reading, reader) for reading in members})[-most:]
    cells: dict[str, dict[date, list[str]]] = {}
    shown = []
    for reading, place, text in zip(members, places, told, strict=True):
        day = day_of(reading, reader)
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
    )


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
    is_nearly_empty = len(matrix.shown) <= _NEARLY_EMPTY * len(rows)
    if len(matrix.days) > 1 and len(rows) > _MANY_PLACES and is_nearly_empty:
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
                *_taken(matrix.shown, reader=reader, people=people, usual=usual),
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
    if matrix.earlier:
        yield ngettext(
            "%(count)s earlier reading.",
            "%(count)s earlier readings.",
            matrix.earlier,
        ) % {"count": matrix.earlier}


def _taken(
    found: Sequence[Reading],
    *,
    reader: Reader,
    people: Mapping[int, str],
    usual: int | None,
) -> Iterator[str]:
    """Yield who read with which gauge on which days, and how far it can be trusted.

    What holds for all tables of the machine is not said again.
    """
    seen: dict[tuple[int, int | None], tuple[Gauge | None, set[date]]] = {}
    for reading in found:
        key = (reading.visit.membership_id, reading.gauge_id)
        days = seen.setdefault(key, (reading.gauge, set()))[1]
        days.add(day_of(reading, reader))
    every = {day_of(reading, reader) for reading in found}
    for (member, _gauge_id), (gauge, days) in sorted(
        seen.items(), key=lambda item: (item[0][0], item[0][1] or 0)
    ):
        said = {
            "person": people.get(member, _("not known")),
            "gauge": _gauge(gauge, reader=reader),
            "days": ", ".join(map(reader.day, sorted(days))),
        }
        if days == every and member == usual:
            # Said once for the machine.
            if gauge is not None:
                yield _("Read with %(gauge)s.") % said
        elif days == every:
            yield _("Read by %(person)s, %(gauge)s.") % said
        else:
            yield _("%(days)s: %(person)s, %(gauge)s.") % said


def _gauge(gauge: Gauge | None, *, reader: Reader) -> str:
    if gauge is None:
        return _("gauge not stated")
    parts = [str(gauge)]
    if gauge.calibration_due_on is None:
        parts.append(_("calibration not known"))
    else:
        due = {"day": reader.day(gauge.calibration_due_on)}
        parts.append(_("calibrated until %(day)s") % due)
    if gauge.repeatability_mm is not None:
        spread = reader.length(gauge.repeatability_mm, digits=3)
        parts.append(_("repeats within %(spread)s (1 sd)") % {"spread": spread})
    return ", ".join(parts)
