"""What is read as left of work: at which places, as fields and as readings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from fleet.models import Machine
from fleet.platform.pages.forms import QuantityField
from fleet.platform.pages.forms.numbers import plain
from fleet.register.choices import WorkKind
from inspections import page
from inspections.kinds import KINDS, Subject
from inspections.templatetags.shown import kind as kind_named

# What is read as left, by kind of work; each at every place that there is.
_READ: dict[str, tuple[str, ...]] = {
    WorkKind.ROPING: ("rope_diameter",),
    WorkKind.REGROOVING: ("rope_diameter", "rope_crown_height"),
    WorkKind.SHORTENING: ("cwt_runby",),
    WorkKind.EQUALISING: ("rope_tension",),
    WorkKind.LUBRICATION: (),
    WorkKind.RIM_RENEWAL: ("rope_diameter", "rope_crown_height"),
    WorkKind.SHEAVE_REPLACEMENT: ("rope_diameter", "rope_crown_height"),
    # What a part was found to be after its repair is said by a check of its own.
    WorkKind.REPAIR: (),
}
# Tension is read on the car's side with the car at the bottom, as on the field sheet.
_WHERE = {"rope_tension": {"side": "car", "car_position": "bottom"}}
_END_OF_WORK = time(17, 0)


@dataclass(frozen=True, slots=True)
class Place:
    """A reading that is asked for; `number` of a groove or rope, None of a machine."""

    kind: str
    number: int | None

    @property
    def name(self) -> str:
        return f"left_{self.kind}_{self.number or 0}"


def places(before: page.Page, reported: str) -> list[Place]:
    """Return what is read as left: at each rope, each groove with one, or once."""
    ropes = [rope.number for rope in before.ropes]
    numbers = {
        Subject.ROPE: ropes,
        Subject.GROOVE: sorted(
            groove.number for groove in before.grooves if groove.pk in _laid(before)
        ),
    }
    return [
        Place(kind=kind, number=number)
        for kind in _READ.get(reported, ())
        for number in numbers.get(KINDS[kind].subject, [None])
    ]


def _laid(before: page.Page) -> set[int]:
    return {seat.groove_id for rope in before.ropes for seat in rope.seats.all()}


def fields(before: page.Page, reported: str) -> Iterator[tuple[str, forms.Field]]:
    """Yield a field for each reading, by its name."""
    for place in places(before, reported):
        label = kind_named(place.kind)
        if place.number is not None:
            part = (
                _("rope {number}")
                if KINDS[place.kind].subject is Subject.ROPE
                else _("groove {number}")
            )
            label = f"{label}, {str(part).format(number=place.number)}"
        yield (
            place.name,
            QuantityField(
                quantity=KINDS[place.kind].quantity, label=label, required=False
            ),
        )


def sent(form: Any, before: page.Page, reported: str) -> list[str]:
    """Return the fields of the readings, in the order in which they were sent."""
    asked = places(before, reported)
    return [p.name for p in asked if form.cleaned_data.get(p.name) is not None]


def readings(
    form: Any, reference: str, asked: Sequence[Place]
) -> Iterator[dict[str, Any]]:
    """Yield the readings as they were typed, in the unit they were typed in."""
    for place in asked:
        if form.cleaned_data.get(place.name) is None:
            continue
        typed = form.data.get(f"{place.name}_0", "")
        found: dict[str, Any] = {
            "reference": f"{reference}-{place.kind}-{place.number or 0}",
            "kind": place.kind,
            "value": plain(typed, language=form.preferences.language),
            "unit": form.data.get(f"{place.name}_1", ""),
        }
        if place.number is not None:
            found[str(KINDS[place.kind].subject).lower()] = place.number
        if place.kind in _WHERE:
            found["place"] = _WHERE[place.kind]
        yield found


def moment(day: date, machine: Machine) -> datetime:
    """Return when it was read as left: the end of the working day, or now on today."""
    zone = ZoneInfo(machine.building.time_zone)
    return min(datetime.combine(day, _END_OF_WORK, tzinfo=zone), timezone.now())
