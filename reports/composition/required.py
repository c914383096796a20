"""What has to be read and tested after work, and what of it is not there yet.

Which tests follow which work is common practice, no source: local code and the
inspector decide what they ask for besides.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from fleet.models import Work
from fleet.register.choices import WorkKind
from inspections.inputs import Snapshot
from inspections.kinds import Group, Subject, of_group
from inspections.models import Reading
from reports import content
from reports.composition import readings, words
from reports.composition.reader import Reader

# A test that came later than this says how late; common practice, no source.
_SOON_DAYS = 31


@dataclass(frozen=True, slots=True, kw_only=True)
class Required:
    """Readings of which one kind is enough, at a place, or at each rope or groove."""

    kinds: tuple[str, ...]
    place: tuple[tuple[str, str], ...] = ()
    of_each: Subject | None = None

    def is_told_by(self, reading: Reading) -> bool:
        """Return whether a reading answers this, wherever its rope or groove is."""
        return reading.kind in self.kinds and all(
            reading.place.get(name) == value for name, value in self.place
        )


_HOLDS = tuple(
    Required(kinds=("traction_test",), place=(("case", case),))
    for case in ("125 % static", "empty car up", "loaded car down")
)
_TENSIONS = Required(kinds=of_group(Group.TENSION), of_each=Subject.ROPE)
_RUNBY = Required(kinds=("cwt_runby",))
_SEATS = Required(kinds=of_group(Group.SEAT_DEPTH), of_each=Subject.GROOVE)
_NEW_SHEAVE = (
    *_HOLDS,
    _SEATS,
    _TENSIONS,
    _RUNBY,
    Required(kinds=("check",), place=(("part", "crack"),)),
    Required(kinds=("check",), place=(("part", "keeper"),)),
    Required(kinds=("travel_speed",)),
)
_AFTER: Mapping[str, tuple[Required, ...]] = {
    WorkKind.ROPING: (
        *_HOLDS,
        Required(kinds=("rope_diameter",), of_each=Subject.ROPE),
        _TENSIONS,
        _RUNBY,
        Required(kinds=("check",), place=(("part", "fastening"),)),
        Required(kinds=("check",), place=(("part", "keeper"),)),
    ),
    WorkKind.SHORTENING: (
        _RUNBY,
        _TENSIONS,
        Required(kinds=("check",), place=(("part", "fastening"),)),
    ),
    WorkKind.EQUALISING: (_TENSIONS,),
    WorkKind.REGROOVING: _NEW_SHEAVE,
    WorkKind.RIM_RENEWAL: _NEW_SHEAVE,
    WorkKind.SHEAVE_REPLACEMENT: _NEW_SHEAVE,
    WorkKind.LUBRICATION: (Required(kinds=("slip_seen", "traction_test")),),
    WorkKind.REPAIR: (Required(kinds=("check",)),),
}


Told = Mapping[Required, Sequence[Reading]]


def after(works: Iterable[Work]) -> dict[Required, date]:
    """Return what the works ask for, each with the last day that it was asked on."""
    found: dict[Required, date] = {}
    for work in works:
        for need in _AFTER.get(work.kind, ()):
            found[need] = max(work.done_on, found.get(need, work.done_on))
    return found


def of_the_works_own_time(
    need: Required, given: Sequence[Reading], *, reader: Reader
) -> list[Reading]:
    """Return the readings after a work that answer what it asks for.

    `given` are readings after it. Of each rope, groove or machine those of the first
    day on which it was read count, at one place, the last of that day: what was read
    years later says nothing of the work. A test with another result on a later day
    stands beside it.
    """
    found: dict[int | None, list[Reading]] = {}
    for reading in sorted(given, key=lambda r: (r.taken_at, r.pk)):
        if need.is_told_by(reading):
            number = _number(need, reading) if need.of_each is not None else None
            found.setdefault(number, []).append(reading)
    firsts, others = [], []
    for number in sorted(found, key=_in_order):
        first = _of_first_day(found[number], reader=reader)
        firsts.append(first)
        others += _with_another_word(first, found[number], reader=reader)
    return [*firsts, *others]


def _of_first_day(found: Sequence[Reading], *, reader: Reader) -> Reading:
    """Return the last reading of the first day, at the place that comes first."""
    day = readings.day_of(found[0], reader)
    of_day = [one for one in found if readings.day_of(one, reader) == day]
    place = min(str(sorted(one.place.items())) for one in of_day)
    return [one for one in of_day if str(sorted(one.place.items())) == place][-1]


def _with_another_word(
    first: Reading, found: Sequence[Reading], *, reader: Reader
) -> list[Reading]:
    """Return the first reading of each other word on a later day."""
    day = readings.day_of(first, reader)
    later = [one for one in found if readings.day_of(one, reader) > day]
    words_ = {one.word: one for one in reversed(later) if one.word != first.word}
    return sorted(words_.values(), key=lambda r: (r.taken_at, r.pk))


def _in_order(number: int | None) -> int:
    return number or 0


def missing(told: Told, snapshot: Snapshot) -> list[str]:
    """Return in words what of it was not read after the work."""
    named = []
    for need, found in told.items():
        absent = [n for n in _numbers(need, snapshot) if n not in _told(need, found)]
        if need.of_each is None and not found:
            named.append(_named(need))
        elif need.of_each is not None and (absent or not found):
            named.append(f"{_named(need)} ({_of(need, absent)})")
    return named


def table(
    told: Told,
    snapshot: Snapshot,
    *,
    since: Mapping[Required, date],
    reader: Reader,
    people: Mapping[int, str],
) -> content.Table | None:
    """Return what is asked for with its result; what is not there is left blank."""
    if not told:
        return None
    return content.Table(
        title=_("Asked for after this work"),
        columns=(
            content.Column(heading=_("Test or reading"), share=2.2),
            content.Column(heading=_("Result"), share=1.7),
            content.Column(heading=_("By"), share=1.2),
            content.Column(heading=_("Made on"), share=0.9),
        ),
        rows=tuple(
            row
            for need, found in told.items()
            for row in _rows(
                need,
                found,
                snapshot,
                done_on=since[need],
                reader=reader,
                people=people,
            )
        ),
        note=_(
            "A blank line is to be filled in before acceptance. Local code and the "
            "inspector decide what else is asked for."
        ),
    )


def _rows(
    need: Required,
    found: Sequence[Reading],
    snapshot: Snapshot,
    *,
    done_on: date,
    reader: Reader,
    people: Mapping[int, str],
) -> Iterator[tuple[str, str, str, str]]:
    """Yield a line for each day, kind and person, and a blank one for what lacks."""
    for together in _of_one_visit(found, reader=reader):
        first = together[0]
        # Of several kinds that would do, a result is of the one that was read.
        named = _named(replace(need, kinds=(first.kind,)))
        if need.of_each is not None and (shared := readings.shared_place(together)):
            named = f"{named} ({', '.join(shared)})"
        yield (
            named,
            _results(need, together),
            people.get(first.visit.membership_id, _("not known")),
            _made_on(first, done_on, reader=reader),
        )
    told = _told(need, found)
    absent = [n for n in _numbers(need, snapshot) if n not in told]
    if need.of_each is not None and (absent or not found):
        yield (f"{_named(need)}: {_of(need, absent)}", "", "", "")
    elif need.of_each is None and not found:
        yield (_named(need), "", "", "")


def _made_on(reading: Reading, done_on: date, *, reader: Reader) -> str:
    """Return the day of a test, and how late it came where that is over a month."""
    day = readings.day_of(reading, reader)
    late = (day - done_on).days
    if late <= _SOON_DAYS:
        return reader.day(day)
    said = {"day": reader.day(day), "count": late}
    return _("%(day)s, %(count)s days after the work") % said


def _of_one_visit(
    found: Sequence[Reading], *, reader: Reader
) -> Iterator[list[Reading]]:
    """Yield what one person read of one kind on one day together, in its order."""
    groups: dict[tuple[str, date, int], list[Reading]] = {}
    for reading in found:
        key = (
            reading.kind,
            readings.day_of(reading, reader),
            reading.visit.membership_id,
        )
        groups.setdefault(key, []).append(reading)
    yield from groups.values()


def _results(need: Required, together: Sequence[Reading]) -> str:
    if need.of_each is None:
        return "; ".join(map(readings.typed, together))
    shared = readings.shared_place(together)
    return "; ".join(
        f"{readings.place_without(reading, shared)}: {readings.typed(reading)}"
        for reading in together
    )


def _named(need: Required) -> str:
    name = words.sentence(_(" or ").join(words.kind(kind) for kind in need.kinds))
    where = ", ".join(words.said(value) for _name, value in need.place)
    named = name.rstrip(".")
    return f"{named}, {where}" if where else named


def _of(need: Required, numbers: Sequence[int]) -> str:
    """Return ropes or grooves by their numbers; all of them where none is known."""
    if not numbers:
        return _("each rope") if need.of_each == Subject.ROPE else _("each groove")
    text = _("grooves %(numbers)s")
    if need.of_each == Subject.ROPE:
        text = _("ropes %(numbers)s")
    return text % {"numbers": ", ".join(map(str, numbers))}


def _numbers(need: Required, snapshot: Snapshot) -> list[int]:
    if need.of_each == Subject.ROPE:
        return sorted(rope.number for rope in snapshot.ropes)
    if need.of_each == Subject.GROOVE:
        return sorted(groove.number for groove in snapshot.grooves)
    return []


def _told(need: Required, found: Iterable[Reading]) -> set[int | None]:
    return {_number(need, reading) for reading in found}


def _number(need: Required, reading: Reading) -> int | None:
    part = reading.rope if need.of_each == Subject.ROPE else reading.groove
    return part.number if part is not None else None
