"""The base of every form of a page: reads as its reader writes."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core import validators
from django.http import QueryDict
from django.utils.encoding import force_str
from django.utils.translation import gettext

from fleet.platform import printing
from fleet.platform.pages.preferences import Preferences

Raw = dict[str, list[str]]


class PageForm(forms.Form):
    """Fields in the reader's language and units; names may run in either direction."""

    def __init__(
        self,
        *arguments: Any,
        preferences: Preferences,
        more: Mapping[str, forms.Field] | None = None,
        **options: Any,
    ) -> None:
        super().__init__(*arguments, **{"label_suffix": "", **options})
        # Fields that only the rows of the day tell.
        self.fields.update(more or {})
        self.preferences = preferences
        for field in self.fields.values():
            if isinstance(field, forms.CharField):
                is_secret = isinstance(field.widget, forms.PasswordInput)
                check = _anew if is_secret else _stays_as_typed
                field.validators = [*field.validators, check]
            if hasattr(field, "read_as"):
                field.read_as(preferences)
            elif isinstance(field, forms.ModelChoiceField):
                if field.empty_label is not None:
                    field.empty_label = gettext("Choose")
            elif isinstance(field, forms.SlugField):
                field.validators = [_in_words(check) for check in field.validators]
            elif isinstance(field.widget, (forms.TextInput, forms.Textarea)):
                field.widget.attrs.setdefault("dir", "auto")

    @classmethod
    def secret_names(cls) -> frozenset[str]:
        """Return the fields that are never kept."""
        return frozenset(
            name
            for name, field in cls.base_fields.items()
            if isinstance(field.widget, (forms.PasswordInput, forms.FileInput))
        )

    def full_clean(self) -> None:
        """Check what was sent; of a text that turns others the rest is offered.

        A row of before may hold one that nobody sees: its page would take nothing more.
        """
        super().full_clean()
        found = self.errors.as_data() if self.is_bound else {}
        for name, errors in found.items():
            if any(error.code == printing.CODE for error in errors):
                self._offer_the_rest(self.add_prefix(name))

    def _offer_the_rest(self, full: str) -> None:
        sent: Any = self.data
        found = sent.copy()
        found[full] = printing.without_turning(sent.get(full, ""))
        self.data = found

    def read(self) -> Raw:
        """Return what the form shows before anybody types: field -> texts."""
        found = {}
        for name, field in self.fields.items():
            value = field.prepare_value(self.get_initial_for_field(field, name))
            found[name] = self._texts(field, value)
        return found

    def typed(self) -> Raw:
        """Return what was sent: field -> texts."""
        return {name: self._sent(name, field) for name, field in self.fields.items()}

    def said(self, name: str, texts: list[str]) -> str:
        """Return texts of a field as its reader knows them."""
        field: Any = self.fields[name]
        shown = [text for text in texts if text != ""]
        if isinstance(field.widget, forms.MultiWidget):
            return " ".join(shown) if texts and texts[0] else "–"
        named = {force_str(k): force_str(v) for k, v in _choices(field)}
        return ", ".join(named.get(text, text) for text in shown) or "–"

    def changed_values(self) -> dict[str, Any]:
        """Return the cleaned values of those fields that were typed into.

        A value that was only looked at stays as it is stored, to its last digit.
        """
        read, typed = self.read(), self.typed()
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name in typed and read[name] != typed[name]
        }

    def filled_in(self, raw: Mapping[str, list[str]]) -> Any:
        """Return what a browser would send for these texts."""
        found = QueryDict(mutable=True)
        for name, texts in raw.items():
            if isinstance(self.fields[name].widget, forms.MultiWidget):
                for number, text in enumerate(texts):
                    found[f"{self.add_prefix(name)}_{number}"] = text
            else:
                found.setlist(self.add_prefix(name), texts)
        return found

    def _sent(self, name: str, field: Any) -> list[str]:
        full = self.add_prefix(name)
        if isinstance(field.widget, forms.MultiWidget):
            numbers = range(len(field.widget.widgets))
            return [self.data.get(f"{full}_{n}", "").strip() for n in numbers]
        sent = self.data.getlist(full) if hasattr(self.data, "getlist") else []
        return _normal(field, [force_str(text).strip() for text in sent])

    def _texts(self, field: forms.Field, value: Any) -> list[str]:
        widget: Any = field.widget
        if isinstance(widget, forms.MultiWidget):
            parts: Any = widget.decompress(value)
            return [force_str(part) for part in parts]
        if isinstance(widget, forms.CheckboxInput):
            return _normal(field, ["on"] if value else [])
        if isinstance(value, (list, tuple)):
            return _normal(field, [force_str(part) for part in value])
        shown = widget.format_value(value)
        parts = shown if isinstance(shown, list) else [shown]
        return _normal(field, ["" if p is None else force_str(p) for p in parts])


def _in_words(check: Any) -> Any:
    """Return a check of a field; that of short names says what is taken."""
    if check is not validators.validate_slug:
        return check
    words = gettext("Use letters, digits, - and _ only, without spaces.")
    return validators.RegexValidator(validators.slug_re, words)


def _normal(field: forms.Field, texts: list[str]) -> list[str]:
    # A text area's line ends are CR LF on their way.
    return sorted(t.replace("\r\n", "\n") for t in texts if t != "")


def _stays_as_typed(text: str) -> None:
    """Raise ValidationError for a text that turns the direction of others."""
    _refuse(
        text,
        gettext(
            "A sign in it that is not seen turns what stands beside it round. Here it "
            "is taken out: read it and send it again."
        ),
    )


def _anew(text: str) -> None:
    """Raise ValidationError for a secret that holds such a sign."""
    _refuse(
        text,
        gettext(
            "A sign in it that is not seen turns what stands beside it round: type it "
            "anew."
        ),
    )


def _refuse(text: str, words: str) -> None:
    if isinstance(text, str) and printing.turning(text):
        raise forms.ValidationError(words, code=printing.CODE)


def _choices(field: Any) -> Any:
    for value, label in getattr(field, "choices", ()):
        if isinstance(label, (list, tuple)):
            yield from label
        else:
            yield value, label
