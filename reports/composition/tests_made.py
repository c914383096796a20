"""The tests of a return-to-service record: what was tested, by whom, on which days."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _

from inspections.models import Reading, Visit
from reports import content
from reports.composition import readings, words
from reports.composition.reader import Reader

# More readings of one kind stand in one line.
_MOST_LINES = 4


def table(
    tests: Iterable[Reading], *, reader: Reader, people: Mapping[int, str]
) -> content.Table:
    """Return a line for each test; what was found alike on many days stands once."""
    return content.Table(
        title=_("Tests made, and by whom"),
        columns=(
            content.Column(heading=_("Test"), share=1.5),
            content.Column(heading=_("Result"), share=1.5),
            content.Column(heading=_("By"), share=1.2),
            content.Column(heading=_("Made on"), share=0.9),
        ),
        rows=often(
            row
            for members in _alike(tests, reader=reader)
            for row in _test_rows(members, reader=reader, people=people)
        ),
    )


def often(rows: Iterable[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Return rows in which what was found alike on many days stands once."""
    days: dict[tuple[str, ...], list[str]] = {}
    for row in rows:
        days.setdefault(row[:-1], []).append(row[-1])
    found = []
    for told, when in days.items():
        if len(when) <= _MOST_LINES:
            found += [(*told, day) for day in when]
            continue
        ends = {"count": len(when), "first": when[0], "last": when[-1]}
        found.append((*told, _("%(count)s times, %(first)s to %(last)s") % ends))
    return tuple(found)


def _alike(tests: Iterable[Reading], *, reader: Reader) -> Iterator[list[Reading]]:
    """Yield readings of one kind, day and person together, in their order."""
    found: dict[tuple[str, date, int], list[Reading]] = {}
    for reading in tests:
        day = reading.taken_at.astimezone(reader.zone).date()
        key = (reading.kind, day, reading.visit.membership_id)
        found.setdefault(key, []).append(reading)
    yield from found.values()


def _test_rows(
    members: Sequence[Reading], *, reader: Reader, people: Mapping[int, str]
) -> Iterator[tuple[str, ...]]:
    """Yield a line a reading; many of one kind in one line, each with its place."""
    by = (_by(members[0].visit, people), reader.day(members[0].taken_at))
    if len(members) <= _MOST_LINES:
        for reading in members:
            what = f"{words.kind(reading.kind)}: {_test_place(reading)}".rstrip(": ")
            yield what, readings.typed(reading), *by
        return
    shared = readings.shared_place(members)
    what = words.kind(members[0].kind)
    results: dict[str, list[str]] = {}
    ordered = sorted(members, key=readings.place_order)
    for reading in ordered:
        place = readings.place_without(reading, shared)
        results.setdefault(place, []).append(readings.typed(reading))
    told = "; ".join(
        f"{place}: {', '.join(values)}" for place, values in results.items()
    )
    yield f"{what} ({', '.join(shared)})" if shared else what, told, *by


def _test_place(reading: Reading) -> str:
    named = readings.place_of(reading)
    return "" if named == _("machine") else named


def _by(visit: Visit, people: Mapping[int, str]) -> str:
    return people.get(visit.membership_id, _("not known"))
