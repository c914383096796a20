"""What has to be read and tested after work, and what of it is not there yet.

Which tests follow which work is common practice, no source: local code and the
inspector decide what they ask for besides.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from fleet.models import Work
from fleet.register.choices import WorkKind
from inspections.inputs import Snapshot
from inspections.kinds import Group, Subject, of_group
from inspections.models import Reading
from reports import content
from reports.composition import readings, words
from reports.composition.reader import Reader


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


def after(works: Iterable[Work]) -> tuple[Required, ...]:
    """Return what the works ask for, each once."""
    found = (need for work in works for need in _AFTER.get(work.kind, ()))
    return tuple(dict.fromkeys(found))


def missing(
    needs: Sequence[Required], given: Sequence[Reading], snapshot: Snapshot
) -> list[str]:
    """Return in words what of it was not read after the work."""
    named = []
    for need in needs:
        found = [reading for reading in given if need.is_told_by(reading)]
        absent = [n for n in _numbers(need, snapshot) if n not in _told(need, found)]
        if need.of_each is None and not found:
            named.append(_named(need))
        elif need.of_each is not None and (absent or not found):
            named.append(f"{_named(need)} ({_of(need, absent)})")
    return named


def table(
    needs: Sequence[Required],
    given: Sequence[Reading],
    snapshot: Snapshot,
    *,
    reader: Reader,
    people: Mapping[int, str],
) -> content.Table | None:
    """Return what is asked for with its result; what is not there is left blank."""
    if not needs:
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
            for need in needs
            for row in _rows(need, given, snapshot, reader=reader, people=people)
        ),
        note=_(
            "A blank line is to be filled in before acceptance. Local code and the "
            "inspector decide what else is asked for."
        ),
    )


def _rows(
    need: Required,
    given: Sequence[Reading],
    snapshot: Snapshot,
    *,
    reader: Reader,
    people: Mapping[int, str],
) -> Iterator[tuple[str, str, str, str]]:
    found = [reading for reading in given if need.is_told_by(reading)]
    if need.of_each is None:
        last = found[-1:]
    else:
        last = list({_number(need, reading): reading for reading in found}.values())
    for reading in last:
        where = readings.place_of(reading) if need.of_each is not None else ""
        # Of several kinds that would do, a result is of the one that was read.
        named = _named(replace(need, kinds=(reading.kind,)))
        yield (
            f"{named}: {where}" if where else named,
            readings.typed(reading),
            people.get(reading.visit.membership_id, _("not known")),
            reader.day(reading.taken_at),
        )
    told = _told(need, found)
    absent = [n for n in _numbers(need, snapshot) if n not in told]
    if need.of_each is not None and (absent or not found):
        yield (f"{_named(need)}: {_of(need, absent)}", "", "", "")
    elif need.of_each is None and not found:
        yield (_named(need), "", "", "")


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
