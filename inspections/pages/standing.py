"""What the register has of each thing that can be tried, beside its field."""

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext

from fleet.platform.database.tenancy import Scope
from fleet.platform.pages import Preferences
from fleet.platform.pages.forms import QuantityField
from inspections import inputs, wording
from inspections.inputs import Snapshot
from inspections.reasons import Quantity
from inspections.scenarios import words
from inspections.scenarios.items import ITEMS, Part


def tell(
    form: forms.Form, *, scope: Scope, machine_id: int, reader: Preferences
) -> None:
    """Say in each field's help what is registered; nothing where nothing is."""
    loaded = inputs.load(scope=scope, machine_ids=[machine_id], as_of=timezone.now())
    for snapshot in loaded:
        for name, value in _values(snapshot):
            field = form.fields[name]
            # A field without a choice of units says which it takes.
            own = isinstance(field, QuantityField)
            told = _told(name, value, family=reader.family if own else wording.METRIC)
            field.help_text = gettext("now {value}").format(value=told)


def _values(snapshot: Snapshot) -> list[tuple[str, Any]]:
    of_part = {
        Part.MACHINE: snapshot.machine,
        Part.GROOVES: snapshot.geometry,
        Part.SHEAVE: snapshot.geometry,
        Part.ROPES: snapshot.rope_set,
        Part.PULLEY: inputs.deflector_of(snapshot),
    }
    found = [
        (name, getattr(of_part.get(item.part), item.field, None))
        for name, item in ITEMS.items()
    ]
    return [(name, value) for name, value in found if value not in (None, "")]


def _told(name: str, value: Any, *, family: str) -> str:
    _, unit = words.ITEMS[name]
    if isinstance(value, str):
        return str(words.named(value))
    spoken = wording.ReadersWords(family=family)
    return spoken.quantity(Quantity(value=float(value), unit=unit or "-"), ".5g")
