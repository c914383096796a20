"""What is read as left of work: at which places, as fields and as readings."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Machine
from fleet.platform.pages.forms import QuantityField
from fleet.platform.pages.forms.numbers import plain
from fleet.register.choices import WorkKind
from inspections import page
from inspections.kinds import KINDS, Subject
from inspections.stops import causes, ending
from inspections.templatetags.shown import kind as kind_named
from inspections.templatetags.shown import word as word_named

# What is read as left, by kind of work; each at every place that there is.
_READ: dict[str, tuple[str, ...]] = {
    WorkKind.ROPING: ("rope_diameter",),
    WorkKind.REGROOVING: ("rope_diameter", "rope_crown_height"),
    WorkKind.SHORTENING: ("cwt_runby",),
    WorkKind.EQUALISING: ("rope_tension",),
    WorkKind.LUBRICATION: (),
    WorkKind.RIM_RENEWAL: ("rope_diameter", "rope_crown_height"),
    WorkKind.SHEAVE_REPLACEMENT: ("rope_diameter", "rope_crown_height"),
    # What a stop wants read after it is asked for besides.
    WorkKind.REPAIR: (),
}
# Tension is read on the car's side with the car at the bottom, as on the field sheet.
_WHERE = {"rope_tension": {"side": "car", "car_position": "bottom"}}
_END_OF_WORK = time(17, 0)
_PART = "part"
# What a form can say of where a reading was taken.
_SAID = ({_PART}, {ending.CASE})
_WORDS = re.compile(r"\w+", re.ASCII)
_EMPTY = (None, "")


@dataclass(frozen=True, slots=True)
class RopesNow:
    """How many ropes hang now, and in which grooves, as far as it was said."""

    ropes: int = 0
    grooves: tuple[int, ...] = ()


AS_BEFORE = RopesNow()


@dataclass(frozen=True, slots=True)
class ReadingPlace:
    """A reading that is asked for; `number` of a groove or rope, None of a machine.

    `part` is the part that was looked at, or the case that was tried.
    """

    kind: str
    number: int | None
    part: str = ""

    @property
    def name(self) -> str:
        """Return the name of its field."""
        part = "".join(f"_{word}" for word in _WORDS.findall(self.part))
        return f"left_{self.kind}_{self.number or 0}{part}"

    @property
    def mark(self) -> str:
        """Return what tells its reading from others of the report."""
        part = "".join(f"-{word}" for word in _WORDS.findall(self.part))
        return f"{self.kind}-{self.number or 0}{part}"

    @property
    def label(self) -> str:
        """Return what its field asks for."""
        label = kind_named(self.kind)
        if self.part:
            return f"{label}, {gettext(self.part)}"
        if self.number is None:
            return label
        on_rope = KINDS[self.kind].subject is Subject.ROPE
        part = _("rope {number}") if on_rope else _("groove {number}")
        return f"{label}, {str(part).format(number=self.number)}"


def places(
    before: page.Page, reported: str, more: RopesNow = AS_BEFORE
) -> list[ReadingPlace]:
    """Return what is read as left: at each rope, each groove with one, or once.

    What releases an open stop that this work answers is asked for too, and places of
    ropes and grooves that are `more` than before.
    """
    ropes = {rope.number for rope in before.ropes} | set(range(1, more.ropes + 1))
    grooves = {groove.number for groove in before.grooves if groove.pk in _laid(before)}
    numbers = {
        Subject.ROPE: sorted(ropes),
        Subject.GROOVE: sorted(grooves | set(more.grooves)),
    }
    asked = [
        ReadingPlace(kind=kind, number=number)
        for kind in _READ.get(reported, ())
        for number in numbers.get(KINDS[kind].subject, [None])
    ]
    return list(dict.fromkeys([*asked, *_for_stops(before, reported)]))


def _for_stops(before: page.Page, reported: str) -> Iterator[ReadingPlace]:
    for stop in before.stops:
        rule = causes.RULES[stop.cause]
        if reported not in rule.works:
            continue
        # Several kinds answer the same question: the first that a form can ask for.
        kinds = [k for k in ending.reads_of(stop) if _is_sayable(KINDS[k].place)]
        for kind in kinds[:1]:
            if ending.CASE in KINDS[kind].place:
                for case in ending.failed_cases(stop):
                    yield ReadingPlace(kind, None, case)
                continue
            part = stop.place_key if _PART in KINDS[kind].place else ""
            on = stop.groove or stop.rope
            is_numbered = KINDS[kind].subject in (Subject.ROPE, Subject.GROOVE)
            yield ReadingPlace(kind, on.number if is_numbered and on else None, part)


def _is_sayable(keys: Sequence[str]) -> bool:
    """Tell whether a form can say all that a kind's place needs."""
    return not keys or set(keys) in _SAID


def _laid(before: page.Page) -> set[int]:
    return {seat.groove_id for rope in before.ropes for seat in rope.seats.all()}


def fields(
    before: page.Page, reported: str, more: RopesNow = AS_BEFORE
) -> Iterator[tuple[str, forms.Field]]:
    """Yield a field for each reading, by its name."""
    for place in places(before, reported, more):
        yield place.name, _field(place)


def is_gone(place: ReadingPlace, now: RopesNow) -> bool:
    """Return whether a place is of a rope or a groove that is there no more."""
    subject = KINDS[place.kind].subject
    if place.number is None or not now.ropes:
        return False
    if subject is Subject.ROPE:
        return place.number > now.ropes
    return subject is Subject.GROOVE and place.number not in now.grooves


def _field(place: ReadingPlace) -> forms.Field:
    kind = KINDS[place.kind]
    if not kind.is_worded:
        return QuantityField(quantity=kind.quantity, label=place.label, required=False)
    words = [(word, word_named(word)) for word in kind.words]
    return forms.ChoiceField(
        choices=[("", gettext("not looked at")), *words],
        label=place.label,
        required=False,
    )


def sent(form: Any, asked: Sequence[ReadingPlace]) -> list[str]:
    """Return the fields of the readings, in the order in which they were sent."""
    return [p.name for p in asked if form.cleaned_data.get(p.name) not in _EMPTY]


def readings(
    form: Any, reference: str, asked: Sequence[ReadingPlace]
) -> Iterator[dict[str, Any]]:
    """Yield the readings as they were typed, in the unit they were typed in."""
    for place in asked:
        if form.cleaned_data.get(place.name) in _EMPTY:
            continue
        kind = KINDS[place.kind]
        found: dict[str, Any] = {
            "reference": f"{reference}-{place.mark}",
            "kind": place.kind,
        }
        if kind.is_worded:
            found["value"] = form.cleaned_data[place.name]
        else:
            typed = form.data.get(f"{place.name}_0", "")
            found["value"] = plain(typed, language=form.preferences.language)
            found["unit"] = form.data.get(f"{place.name}_1", "")
        if place.number is not None:
            found[str(kind.subject).lower()] = place.number
        if place.part:
            [key] = kind.place
            found["place"] = {key: place.part}
        elif place.kind in _WHERE:
            found["place"] = _WHERE[place.kind]
        yield found


def moment(day: date, at: time | None, machine: Machine) -> datetime:
    """Return when it was read as left, never later than now.

    Where nobody has said the hour it is the end of the working day.
    """
    zone = ZoneInfo(machine.building.time_zone)
    read_at = datetime.combine(day, at or _END_OF_WORK, tzinfo=zone)
    return min(read_at, timezone.now())
