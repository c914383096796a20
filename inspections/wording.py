"""Reasons in words: the one place where codes meet a reader's language and units."""

from dataclasses import replace
from datetime import date

from django.utils import formats, translation

from fleet.platform import units
from fleet.register.choices import GrooveForm
from inspections.engineering import criteria
from inspections.kinds import KINDS
from inspections.reasons import (
    Place,
    Quantity,
    Reason,
    Words,
    named,
    place_of,
    rendering,
)
from inspections.reasons.reason import Named, Value
from inspections.reasons.rendering import render

METRIC = "METRIC"
TITLES = {each.code: each.title for each in criteria.ALL}
# Canonical unit -> quantity, unit of the other family, digits that are worth printing.
_INCH = {
    "mm": ("length", "in", 3),
    "N": ("force", "lbf", 0),
    "kg": ("mass", "lb", 0),
    "m/s": ("speed", "ft/min", 0),
}
# A length below this has two digits that say something: 0.10 mm is 0.0039 in.
_FINE_IN = 0.01
# Units in which nobody types a reading -> unit of the other family, how many of it make
# one, digits. Exact by definition but for rounding: 1 ft = 0.3048 m, 1 lb = 0.45359237
# kg, 1 in = 25.4 mm, 1 lbf = 4.4482216152605 N.
INCH_OF_RULES = {
    "MPa": ("psi", 25.4**2 / 4.4482216152605, 0),
    "m": ("ft", 1.0 / 0.3048, 2),
    "m/s²": ("ft/s²", 1.0 / 0.3048, 2),
    "kg/m": ("lb/ft", 0.3048 / 0.45359237, 3),
    "N·m": ("lbf·ft", 1.0 / (4.4482216152605 * 0.3048), 0),
    "kN": ("lbf", 1000.0 / 4.4482216152605, 0),
}


class ReadersWords(Words):
    """Words of the active language, numbers by its marks, units of a family."""

    def __init__(self, *, family: str = METRIC) -> None:
        self.family = family

    def text(self, words: str) -> str:
        """Return a text of the catalogue in the active language."""
        return translation.gettext(words) if words else ""

    def word(self, code: str) -> str:
        """Return what a word, a kind of reading or a form of groove is called."""
        if code in KINDS:
            return self.text(KINDS[code].name)
        if code in GrooveForm.names:
            return self.text(str(GrooveForm[code].label))
        return super().word(code)

    def by_count(self, one: str, many: str, count: float) -> str:
        """Return the text for one or for several in the active language."""
        return translation.ngettext(one, many, int(count))

    def number(self, value: float, digits: str) -> str:
        """Return a number with the decimal mark of the active language."""
        mark = formats.get_format("DECIMAL_SEPARATOR")
        return super().number(value, digits).replace(".", mark)

    def quantity(self, quantity: Quantity, digits: str) -> str:
        """Return a number with its unit, both of the reader's family."""
        if self.family == METRIC:
            return super().quantity(quantity, digits)
        if quantity.unit in INCH_OF_RULES:
            unit, factor, places = INCH_OF_RULES[quantity.unit]
            return f"{self.number(quantity.value * factor, f'.{places}f')} {unit}"
        if quantity.unit not in _INCH:
            return super().quantity(quantity, digits)
        name, unit, places = _INCH[quantity.unit]
        value = units.from_canonical(value=quantity.value, unit=unit, quantity=name)
        if unit == "in" and 0.0 < abs(value) < _FINE_IN:
            places += 1
        return f"{self.number(value, f'.{places}f')} {unit}"

    def beside(self, quantity: Quantity) -> str:
        """Return a quantity of the rules in the reader's unit, "" if it is the same."""
        known = quantity.unit in _INCH or quantity.unit in INCH_OF_RULES
        is_same = self.family == METRIC or not known
        return "" if is_same else self.quantity(quantity, ".4g")

    def day(self, day: date) -> str:
        """Return a day; in English as ISO 8601 has it, as stored text does."""
        if translation.get_language() in (None, "en"):
            return super().day(day)
        return formats.date_format(day, "SHORT_DATE_FORMAT")


class PageWords(ReadersWords):
    """Words among others of a page, where days are written in one way."""

    def day(self, day: date) -> str:
        """Return a day as pages write it."""
        return written_day(day)


def written_day(day: date) -> str:
    """Return a day as people of the active language write it."""
    # Translators: how a day is written, in Django's own signs for dates.
    return formats.date_format(day, translation.gettext("j M Y"))


def say(
    reason: Reason, *, family: str = METRIC, words: type[ReadersWords] = ReadersWords
) -> str:
    """Return a reason in the active language, its quantities in a family of units."""
    return render(_titled(reason), words(family=family))


def _titled(reason: Reason) -> Reason:
    """Return a reason in which sets of criteria stand by their titles."""
    values = tuple((name, _value(name, value)) for name, value in reason.values)
    return replace(reason, values=values, also=tuple(map(_titled, reason.also)))


def _value(name: str, value: Value) -> Value:
    if isinstance(value, Reason):
        return _titled(value)
    if name == "set" and isinstance(value, str):
        return criteria_set(value)
    return value


def criteria_set(code: str) -> str:
    """Return what a set of criteria is called; its code where it is none of ours."""
    return translation.gettext(TITLES[code]) if code in TITLES else code


def place(name: str) -> str:
    """Return what a stored place is called in the active language."""
    return at(place_of(name)) if name else ""


def at(place: Place) -> str:
    """Return what a place is called in the active language."""
    return rendering.at(place, ReadersWords())


def name(term: Named) -> str:
    """Return what a term, a criterion or a topic is called in the active language."""
    return named(term, ReadersWords())
