"""From code and values to a sentence; English here, other languages by `Words`."""

from datetime import date
from functools import lru_cache
from math import isfinite
from string import Formatter

from inspections.reasons.catalogue import NAMES, PLACES, SENTENCES, WORDS
from inspections.reasons.catalogue.sentence import Holds
from inspections.reasons.codes import Code
from inspections.reasons.places import Place
from inspections.reasons.reason import (
    NAMED,
    Named,
    Quantity,
    Reason,
    UnknownValue,
    Value,
)

NOT_KNOWN = "a reason this version does not know: {code}"
# A value that the code of this version wants and the reason does not have.
_NO_VALUE = "?"
_DIGITS = ".4g"
# Asks for semicolons between items that have commas of their own.
_SEMICOLONS = ";"
_NO_UNIT = ("", "-", "1")


class Words:
    """How a reader takes words, numbers and days; this one is in English and metric."""

    def text(self, words: str) -> str:
        """Return a text of the catalogue in the reader's language."""
        return words

    def word(self, code: str) -> str:
        """Return what a word, a kind of reading or a form of groove is called."""
        return self.text(WORDS.get(code, code.replace("_", " ")))

    def by_count(self, one: str, many: str, count: float) -> str:
        """Return the text for one or for several, in the reader's language."""
        return one if count == 1 else many

    def number(self, value: float, digits: str) -> str:
        """Return a number, with as many digits as the sentence asks for."""
        written = format(value, digits)
        if "e" in written and isfinite(value) and digits == _DIGITS:
            return f"{value:.0f}" if abs(value) >= 1.0 else written
        return written

    def quantity(self, quantity: Quantity, digits: str) -> str:
        """Return a number with its unit, in the reader's units."""
        number = self.number(quantity.value, digits)
        if quantity.unit in _NO_UNIT:
            return number
        return f"{number} {self.text(quantity.unit)}"

    def day(self, day: date) -> str:
        """Return a day."""
        return day.isoformat()

    def listed(self, items: list[str]) -> str:
        """Return several names one after another."""
        return ", ".join(items)

    def together(self, sentences: list[str]) -> str:
        """Return sentences that belong together."""
        return "; ".join(sentences)


_ENGLISH = Words()


def english(said: Reason | Named) -> str:
    """Return a reason, or what a term is called, in English."""
    return render(said, _ENGLISH) if isinstance(said, Reason) else named(said)


def render(reason: Reason, words: Words) -> str:
    """Return a reason as a reader takes it; never raises for what is not known."""
    said = dict.fromkeys(_sentence(each, words) for each in (reason, *reason.also))
    return words.together(list(said))


def named(term: Named, words: Words = _ENGLISH) -> str:
    """Return what a term is called; its own code where no name is known."""
    name = NAMES.get(term)
    return str(term) if name is None else words.text(name)


def at(place: Place, words: Words = _ENGLISH) -> str:
    """Return what a place is called; its own name where it has one."""
    text = PLACES.get(place.spot)
    if text is None:
        return str(place.spot)
    # The grooves of a pair are one place, stored as "2 and 5".
    numbers = [n.replace(" and ", f" {words.text('and')} ") for n in place.numbers]
    return words.text(text).format(number=words.listed(numbers))


def _sentence(reason: Reason, words: Words) -> str:
    code = reason.code
    sentence = SENTENCES.get(code) if isinstance(code, Code) else None
    if sentence is None:
        return words.text(NOT_KNOWN).format(code=code)
    given = dict(reason.values)
    count = given.get(sentence.count)
    text = (
        words.by_count(sentence.one, sentence.words, count)
        if isinstance(count, int | float)
        else words.text(sentence.words)
    )
    for name, holds in sentence.fields.items():
        value = given.get(name)
        if holds is Holds.WORD and isinstance(value, str):
            given[name] = words.word(value)
    return "".join(
        before
        if name is None
        else before + _shown(given.get(name, _NO_VALUE), words, digits)
        for before, name, digits in _parts(text)
    )


@lru_cache(maxsize=4096)
def _parts(text: str) -> tuple[tuple[str, str | None, str], ...]:
    """Return a text as what stands before each value, its name and its digits.

    A machine has some thirty sentences; their texts are those of the catalogue.
    """
    return tuple(
        (before, name, digits or "")
        for before, name, digits, _ in Formatter().parse(text)
    )


def _shown(value: Value, words: Words, digits: str) -> str:
    if isinstance(value, Reason):
        return render(value, words)
    if isinstance(value, NAMED):
        return named(value, words)
    if isinstance(value, Place):
        return at(value, words)
    if isinstance(value, Quantity):
        return words.quantity(value, digits or _DIGITS)
    if isinstance(value, date):
        return words.day(value)
    if isinstance(value, tuple):
        if digits == _SEMICOLONS:
            return words.together([_shown(each, words, "") for each in value])
        return words.listed([_shown(each, words, digits) for each in value])
    if isinstance(value, UnknownValue):
        return value.text
    if isinstance(value, str):
        return value
    return words.number(value, digits or _DIGITS)
