"""Why something was found, judged or is due, as a reader takes it.

Codes and values become whole sentences of the one catalogue, in the reader's language,
days and units. What an earlier version stored has words only: they are told as said
then, and marked where the reader's language is another.
"""

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from typing import Any

from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from inspections.reasons import Code, Reason, Term, named, note
from inspections.reasons.reason import Named, Value
from inspections.reasons.rendering import render
from inspections.reasons.serial import field_of, from_json, term_of
from inspections.wording import TITLES, ReadersWords
from reports.composition.reader import Reader

# Names of a formula's values end with their unit.
_UNITS = ("_mm", "_n", "_kg", "_mpa", "_m_s", "_deg", "_rad", "_ratio")


class _Words(ReadersWords):
    """Words of the active language, with days as documents write them."""

    def __init__(self, reader: Reader) -> None:
        super().__init__(family=reader.family)
        self.reader = reader

    def day(self, day: date) -> str:
        """Return a day in words."""
        return self.reader.day(day)


def say(reason: Reason, *, reader: Reader) -> str:
    """Return a reason in the active language."""
    return render(_titled(reason), _Words(reader))


def stored(
    said: Any, words: str, *, reader: Reader, without: Collection[Code] = ()
) -> str:
    """Return a stored reason, less sentences of some codes; its words where no code is.

    `said` is the reason as stored JSON, `words` what was said of it then, in English.
    """
    reason = from_json(said)
    if reason is None:
        return as_then(words)
    each = [one for one in reason.apart() if one.code not in without]
    return say(each[0].with_also(*each[1:]), reader=reader) if each else ""


def item(found: Reason | Named, *, reader: Reader) -> str:
    """Return a reason, or what a term is called, in the active language."""
    if isinstance(found, Reason):
        return say(found, reader=reader)
    return named(found, _Words(reader))


def name(term: str | Named, *, reader: Reader) -> str:
    """Return what a term, criterion or topic is called; a stored one by its code."""
    return named(term_of(str(term)), _Words(reader))


def as_then(words: str) -> str:
    """Return stored words of an earlier version; said to be in English if they are."""
    if not words or get_language() in (None, "en"):
        return words
    return _("%(text)s [in English]") % {"text": words.rstrip(".")}


def _titled(reason: Reason) -> Reason:
    """Return a reason without raw names, and words of before marked as such."""
    if reason.code is Code.NOTE:
        return replace(note(as_then(str(reason.get("text")))), also=_each(reason.also))
    rule = reason.get("rule")
    if isinstance(rule, Reason) and rule.code is Code.RULE_RUNS:
        return replace(note(_few_runs(reason.get("value"))), also=_each(reason.also))
    values = tuple((name, _value(name, value)) for name, value in reason.values)
    return replace(reason, values=values, also=_each(reason.also))


def _each(reasons: tuple[Reason, ...]) -> tuple[Reason, ...]:
    return tuple(_titled(reason) for reason in reasons)


def _value(name: str, value: Value) -> Value:
    if isinstance(value, Reason):
        return _titled(value)
    if name == "set" and isinstance(value, str):
        return TITLES.get(value, value)
    if name in ("name", "other") and isinstance(value, str):
        return _called(value)
    if isinstance(value, tuple):
        return tuple(_value(name, each) for each in value)
    return value


def _called(name: str) -> str:
    """Return what a value of a formula is called: in words where there are some."""
    known = field_of(name)
    if isinstance(known, Term):
        return named(known, ReadersWords())
    unit = next((u for u in _UNITS if name.endswith(u)), "")
    return name.removesuffix(unit).replace("_", " ")


def _few_runs(value: Value | None) -> str:
    count = int(value) if isinstance(value, int | float) else 0
    return ngettext(
        "read over %(count)s run; three or more are needed",
        "read over %(count)s runs; three or more are needed",
        count,
    ) % {"count": count}
