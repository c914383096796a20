"""What the terms ask for: amounts as decimal text, days, months, values."""

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import formats
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.pages import Preferences
from fleet.platform.pages.forms import NumberField, PageForm, numbers
from inspections import inputs
from inspections.decisions import thresholds
from inspections.decisions.records import BoughtPart, OptionKind
from inspections.models import TermsSubject
from inspections.planning import kinds

ENDS = ("low", "mid", "high")
_AMOUNT = re.compile(r"[0-9]{1,9}(\.[0-9]{1,2})?", re.ASCII)
_PART_WORDS = {
    BoughtPart.ROPE_SET: gettext_lazy("rope set"),
    BoughtPart.RIM: gettext_lazy("rim"),
    BoughtPart.SHEAVE: gettext_lazy("sheave"),
    BoughtPart.LUBRICANT: gettext_lazy("lubricant"),
}
_WORKS = tuple(str(kind) for kind in OptionKind if kind.is_work)


class BandWidget(forms.MultiWidget):
    """A least, a likely and a greatest amount, side by side."""

    template_name = "forms/quantity.html"

    def __init__(self) -> None:
        names = (
            gettext_lazy("least"),
            gettext_lazy("likely"),
            gettext_lazy("greatest"),
        )
        self.language = "en"
        super().__init__(
            widgets=[
                forms.TextInput(
                    attrs={
                        "inputmode": "decimal",
                        "aria-label": name,
                        "placeholder": name,
                    }
                )
                for name in names
            ]
        )

    def id_for_label(self, id_: str) -> str:
        return f"{id_}_0" if id_ else ""

    def decompress(self, value: Any) -> list[Any]:
        """Return the three amounts with the reader's mark."""
        if not value:
            return ["", "", ""]
        mark = numbers.mark_of(self.language)
        return [str(value[end]).replace(".", mark) for end in ENDS]


class BandField(forms.MultiValueField):
    """Gives {"low", "mid", "high"} as decimal text, None where all three are empty."""

    widget: BandWidget

    def __init__(self, **options: Any) -> None:
        self.language = "en"
        super().__init__(
            fields=[forms.CharField(max_length=20, required=False) for _ in ENDS],
            require_all_fields=False,
            required=False,
            widget=BandWidget(),
            **options,
        )

    def read_as(self, preferences: Preferences) -> None:
        """Take the mark of the reader's language."""
        self.language = self.widget.language = preferences.language

    def clean(self, value: Any) -> Any:
        texts = [(text or "").strip() for text in (value or ["", "", ""])]
        if not any(texts):
            return None
        if not all(texts):
            raise ValidationError(
                gettext("Write all three, or none: the least, the likely, the most.")
            )
        return {end: self._amount(t) for end, t in zip(ENDS, texts, strict=True)}

    def _amount(self, text: str) -> str:
        plain = numbers.plain(text, language=self.language)
        if not _AMOUNT.fullmatch(plain):
            raise ValidationError(
                gettext("“%s” is no amount. Write it like 1250 or 1250.50.") % text[:40]
            )
        return plain


class TermsForm(PageForm):
    """Why it is changed is kept with the change."""

    why = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=500,
        help_text=gettext_lazy("Kept with the change, for whoever asks later."),
    )
    field_order = None


def of_subject(subject: str) -> dict[str, forms.Field]:
    """Return the fields of a subject; "a__b" is b in the map a."""
    return {
        TermsSubject.RATES: _rates,
        TermsSubject.LEAD_TIMES: _lead_times,
        TermsSubject.THRESHOLDS: _thresholds,
        TermsSubject.CHECKS: _checks,
    }[TermsSubject(subject)]()


def _work(kind: str, words: str) -> str:
    return words % {"work": gettext(kinds.WORDS[kind])}


def _rates() -> dict[str, forms.Field]:
    found: dict[str, forms.Field] = {
        "currency": forms.CharField(
            label=gettext("Currency"),
            max_length=3,
            help_text=gettext("A code of ISO 4217, such as EUR."),
        ),
        "hourly": BandField(label=gettext("One person's hour")),
        "rope_per_m": BandField(label=gettext("A metre of one rope")),
        "hoisting": BandField(label=gettext("One hoisting in and out of the building")),
        "access": BandField(
            label=gettext("Access once: scaffold, crane's way, opening up, night work"),
            help_text=gettext(
                "For new ropes and everything that is cut or lifted. Left empty where "
                "your hours and the shop's price contain it."
            ),
        ),
        "day_out": BandField(
            label=gettext("A day with a machine out of service"),
            help_text=gettext(
                "What a machine costs you that waits for work; 0 where it is nothing."
            ),
        ),
    }
    for part, words in _PART_WORDS.items():
        label = gettext("Price: %(part)s") % {"part": words}
        found[f"parts__{part}"] = BandField(label=label)
    # Measuring is no work, and takes its hours like one.
    for kind in (str(OptionKind.MEASURE_FIRST), *_WORKS):
        label = _work(kind, gettext("Persons' hours: %(work)s"))
        found[f"hours__{kind}"] = BandField(label=label)
    for kind in _WORKS:
        label = _work(kind, gettext("Shop or hire of the cutter: %(work)s"))
        found[f"shop__{kind}"] = BandField(label=label)
    return found


def _lead_times() -> dict[str, forms.Field]:
    def days(label: str) -> NumberField:
        return NumberField(label=label, whole=True, least=0, most=1500, required=False)

    found: dict[str, forms.Field] = {
        "access_days": days(gettext("Days to agree on a day for stopping the machine"))
    }
    for part, words in _PART_WORDS.items():
        label = gettext("Days to delivery: %(part)s") % {"part": words}
        found[f"parts_days__{part}"] = days(label)
    for kind in _WORKS:
        label = _work(kind, gettext("Days until work begins: %(work)s"))
        found[f"shop_days__{kind}"] = days(label)
    return found


def _thresholds() -> dict[str, forms.Field]:
    found: dict[str, forms.Field] = {}
    for row in thresholds.DEFAULTS.rows:
        label = gettext(row.words)
        words = gettext("From %(low)s to %(high)s; %(usual)s where it stays empty.") % {
            "low": _number(row.low),
            "high": _number(row.high),
            "usual": _number(row.default),
        }
        if row.safety:
            words += " " + gettext("It may only be set to the stricter side.")
        found[f"values__{row.name}"] = NumberField(
            label=f"{label} ({gettext(row.unit)})" if row.unit else label,
            required=False,
            help_text=f"{words} {gettext('Source')}: {gettext(row.source)}",
        )
    return found


def _number(value: float) -> str:
    # Written out: one in a million is no "1e-06" to whoever is asked for it.
    plain = f"{value:.9f}".rstrip("0").rstrip(".")
    return plain.replace(".", formats.get_format("DECIMAL_SEPARATOR"))


def _checks() -> dict[str, forms.Field]:
    found: dict[str, forms.Field] = {}
    for check in inputs.CHECKS.values():
        words = check.code.replace("_", " ").replace("runby", "run-by")
        usual = (
            gettext("%s months where it stays empty; only a shorter time is taken.")
            % check.months
            if check.months
            else gettext("Not asked for where it stays empty.")
        )
        found[f"values__{check.code}"] = NumberField(
            label=gettext("%s: greatest age in months") % gettext(words),
            whole=True,
            required=False,
            help_text=usual,
        )
    return found
