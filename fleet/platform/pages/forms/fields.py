"""Fields that people fill in: a quantity with its unit, a number, a day."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.platform import units
from fleet.platform.pages.forms import numbers
from fleet.platform.pages.preferences import METRIC, Preferences

FIRST_YEAR, LAST_YEAR = 1850, 2200
_LONGEST = 40


class NumberField(forms.CharField):
    """A number without a unit; gives a float, or an int where it is `whole`.

    `least` and `most` are bounds of what is taken; the words name them.
    """

    def __init__(
        self,
        *,
        least: float | None = None,
        most: float | None = None,
        whole: bool = False,
        **options: Any,
    ) -> None:
        mode = "numeric" if whole else "decimal"
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": mode}))
        super().__init__(max_length=_LONGEST, strip=True, **options)
        self.least, self.most, self.whole = least, most, whole
        self.language = "en"

    def read_as(self, preferences: Preferences) -> None:
        """Take the mark of the reader's language."""
        self.language = preferences.language

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            return numbers.written(value, language=self.language)
        return value

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        number = read(text, language=self.language)
        if self.whole and number != int(number):
            raise ValidationError(_("Write a whole number, such as 5."))
        check_bounds(number, self.least, self.most, language=self.language)
        return int(number) if self.whole else number


class UnitWidget(forms.MultiWidget):
    """The number, and the unit beside it."""

    template_name = "forms/quantity.html"
    # One label for the number; the unit says itself what it is.
    use_fieldset = False

    def __init__(self, codes: Sequence[str]) -> None:
        self.quantity, self.kept_in = "", codes[0]
        self.language, self.unit = "en", codes[0]
        super().__init__(
            widgets=[
                forms.TextInput(attrs={"inputmode": "decimal", "maxlength": _LONGEST}),
                forms.Select(
                    choices=[(code, code) for code in codes],
                    attrs={"aria-label": gettext_lazy("Unit")},
                ),
            ]
        )

    def id_for_label(self, id_: str) -> str:
        return f"{id_}_0" if id_ else ""

    def decompress(self, value: Any) -> list[Any]:
        """Return a canonical value as the reader writes it, and the reader's unit."""
        if value is None or value == "":
            return ["", self.unit]
        number = units.from_canonical(
            value=_canonical(float(value), unit=self.kept_in, quantity=self.quantity),
            unit=self.unit,
            quantity=self.quantity,
        )
        return [numbers.written(number, language=self.language), self.unit]


class QuantityField(forms.MultiValueField):
    """A value with the unit it was read in; gives it in the canonical unit.

    `metric` and `inch` are the units that are offered first to readers of each family;
    every unit of the quantity is taken. `kept_in` is the unit of the value that it
    gives and is given, of `least` and of `most`; the canonical one where none is named.
    """

    widget: UnitWidget

    def __init__(
        self,
        *,
        quantity: str,
        metric: str = "",
        inch: str = "",
        kept_in: str = "",
        least: float | None = None,
        most: float | None = None,
        **options: Any,
    ) -> None:
        taken = units.QUANTITIES[quantity]
        self.quantity, self.least, self.most = quantity, least, most
        self.firsts = (metric or taken.canonical, inch or _inch(quantity))
        self.kept_in = kept_in or taken.canonical
        self.language = "en"
        widget = UnitWidget(list(taken.units))
        widget.quantity, widget.kept_in = quantity, self.kept_in
        super().__init__(
            fields=[
                forms.CharField(max_length=_LONGEST, required=False),
                forms.CharField(max_length=20, required=False),
            ],
            require_all_fields=False,
            widget=widget,
            **options,
        )

    def read_as(self, preferences: Preferences) -> None:
        """Take the reader's mark, and offer the reader's unit first."""
        metric, inch = self.firsts
        self.language = self.widget.language = preferences.language
        self.widget.unit = metric if preferences.family == METRIC else inch

    def clean(self, value: Any) -> float | None:
        text, unit = [*(value or []), "", ""][:2]
        if not (text or "").strip():
            if self.required:
                raise ValidationError(self.error_messages["required"], code="required")
            return None
        found = self._canonical(numbers.plain(text, language=self.language), unit or "")
        check_bounds(
            found,
            self.least,
            self.most,
            language=self.language,
            unit=self.widget.unit,
            quantity=self.quantity,
            kept_in=self.kept_in,
        )
        return found

    def _canonical(self, text: str, unit: str) -> float:
        try:
            found = units.to_canonical(text=text, unit=unit, quantity=self.quantity)
            return _kept(found, unit=self.kept_in, quantity=self.quantity)
        except units.UnreadableNumber as error:
            words = _not_a_number(text)
            if text[-1:].isalpha():
                words += " " + _("The unit is chosen beside it.")
            raise ValidationError(words) from error
        except (units.UnknownUnit, units.WrongDimension) as error:
            raise ValidationError(_wrong_unit(self.quantity)) from error


class DayField(forms.DateField):
    """A day of a year that a lift can have seen."""

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        )
        super().__init__(
            input_formats=["%Y-%m-%d", "%d.%m.%Y"],
            error_messages={
                "invalid": gettext_lazy("Write the day like 2026-03-31 or 31.03.2026.")
            },
            **options,
        )

    def clean(self, value: Any) -> date | None:
        found: date | None = super().clean(value)
        if found is not None and not FIRST_YEAR <= found.year <= LAST_YEAR:
            raise ValidationError(
                _("The year must lie between %(first)s and %(last)s.")
                % {"first": FIRST_YEAR, "last": LAST_YEAR}
            )
        return found


def read(text: str, *, language: str) -> float:
    """Return what a person typed. Raises ValidationError that says what is taken."""
    plain = numbers.plain(text, language=language)
    try:
        return float(units.read_number(plain))
    except units.UnreadableNumber as error:
        raise ValidationError(_not_a_number(text)) from error


def check_bounds(
    number: float,
    least: float | None,
    most: float | None,
    *,
    language: str,
    unit: str = "",
    quantity: str = "",
    kept_in: str = "",
) -> None:
    """Refuse what lies outside, and say what would be taken in the reader's unit."""

    def said(bound: float) -> str:
        if quantity:
            bound = _canonical(bound, unit=kept_in, quantity=quantity)
            bound = units.from_canonical(value=bound, unit=unit, quantity=quantity)
        text = numbers.written(bound, language=language)
        return f"{text} {unit}" if unit and unit != "1" else text

    if least is not None and number < least:
        raise ValidationError(_("It must be at least %s.") % said(least))
    if most is not None and number > most:
        raise ValidationError(_("It must be at most %s.") % said(most))


def _canonical(value: float, *, unit: str, quantity: str) -> float:
    return value * float(units.factor(quantity=quantity, unit=unit))


def _kept(value: float, *, unit: str, quantity: str) -> float:
    return units.from_canonical(value=value, unit=unit, quantity=quantity)


def _not_a_number(text: str) -> str:
    words = _("“%(text)s” is not a number. Write it like 11.8 or 11,8, or 1 3/16.")
    return words % {"text": text[:40]}


def _wrong_unit(quantity: str) -> str:
    codes = ", ".join(units.QUANTITIES[quantity].units)
    return _("This unit is not taken here. Use one of: %s.") % codes


def _inch(quantity: str) -> str:
    first = {"length": "in", "force": "lbf", "mass": "lb", "speed": "ft/min"}
    return first.get(quantity, units.QUANTITIES[quantity].canonical)
