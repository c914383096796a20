"""What is wrong with a row of a file, in the reader's language.

The rules say it in English, with a code. A sentence that is known is said again with
its values; of another one at least the code has words, and the English stands beside.
"""

import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from django.utils.translation import get_language, gettext

_SENTENCES = (
    "it has {cells} cells and the header has {width}; is a text with the delimiter in "
    "it not in quotes?",
    "{text} is no date written {form}",
    "{text}, read as {form}, is no day of the calendar",
    "the year {year} is not between {first} and {last}",
    "{text} is not a number; write it like {example}, 29/64 or 1 3/16 (the declared "
    "decimal mark is the {mark}, and thousands have no mark)",
    "{text} is not a whole number of 0 or more",
    "{text} is too large; the limit is {limit}",
    "{text} must be a whole number of at most {most}",
    "it is empty; it takes {takes}",
    "{count} letters; at most {most} are taken",
    "{text} is no IANA time zone, such as Europe/Lisbon",
    "{text} is not taken; use one of {words}",
    "there is no {what} with {told}; bring it in first",
    "the sheave has no groove {groove}; bring the grooves in first",
    "the rope's groove is stored and cannot be emptied; write the groove that it runs "
    "in, or leave the column out",
    "{value} is out of range: it must be {rule}",
    "it stands in the file or the register twice",
    "it repeats row {row}",
    "this column is needed and not there",
    "the row is new, and a new row needs this column",
    "this column is not taken here; is {near} meant?",
    "this column is not taken here",
    "{name} is the server's own and not taken",
    "{name} stands twice",
    "{name} has no unit",
    "write {name} without a unit in brackets",
    "it names no unit; write {name} or {heading} [{units}]",
    "{unit} is not a unit taken here; use {units}",
    "the column unit says the unit already",
    "say either the time or the day of the visit, not both",
    "the same visit is told otherwise in row {row}",
    "the rows correct each other in a ring",
    "a reading of this kind at this place and time is stored with another value; give "
    "this one a reference of its own, or let it correct that one",
)
BY_CODE: Mapping[str, str] = {
    "invalid": "This cell cannot be taken as it stands.",
    "missing": "Something that is needed is not there.",
    "out-of-range": "The value is out of range.",
    "conflict": "It does not go with what is registered.",
    "ragged": "The row has another number of cells than the header.",
    "refers-to-nothing": "It names something that is not registered.",
    "not-a-date": "This is no day.",
    "unreadable-number": "This is no number.",
    "unknown-zone": "This is no time zone.",
    "unknown-criteria": "There is no such criteria set.",
    "unprintable": "Documents cannot print a letter of it.",
    "column-missing": "A column is not there.",
    "column-twice": "A column stands twice.",
    "unknown-column": "This column is not taken here.",
    "read-only": "This column is not taken here.",
    "unknown-format": "The format is declared with a word that is not taken.",
    "unit-missing": "The unit is not said.",
    "unit-not-taken": "No unit is taken here.",
    "unit-twice": "The unit is said twice.",
    "unknown-unit": "This unit is not taken here.",
    "wrong-dimension": "This unit is not taken here.",
    "told-twice": "The same is told twice, and not alike.",
    "repeated": "The row stands in the file twice.",
    "out-of-order": "A row before it is not there.",
    "cannot-correct": "It cannot correct that reading.",
    "reference-reused": "Another reading has this reference.",
    "in-the-future": "This is yet to come.",
    "offset-missing": "Say by which clock: the time has no offset.",
    "unknown-field": "This is not taken here.",
    "unknown-gauge": "This gauge is not registered.",
    "retired-gauge": "This gauge is out of use.",
    "unknown-kind": "This kind of reading is not known.",
    "unknown-machine": "This machine is not registered.",
    "unknown-work": "This work is not registered.",
    "unknown-place": "This place is not known.",
    "place-missing": "The place is not said.",
    "no-part": "No such part was fitted on that day.",
}


def in_words(error: Mapping[str, Any]) -> str:
    """Return what is wrong in the reader's language."""
    detail = str(error.get("detail", ""))
    if get_language() in (None, "en"):
        return detail
    for sentence, pattern in _patterns():
        match = pattern.fullmatch(detail)
        if match is not None:
            values = {name: _value(text) for name, text in match.groupdict().items()}
            return gettext(sentence).format(**values)
    known = BY_CODE.get(str(error.get("code", "")), BY_CODE["invalid"])
    words = gettext("%(rule)s In English: %(said)s")
    return words % {"rule": gettext(known), "said": detail}


def told(errors: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return the errors of a file, each with `why` in words."""
    return [{**error, "why": in_words(error)} for error in errors]


def _value(text: str) -> str:
    """Return a value as it stands in the sentence; words among them in the language."""
    return gettext(text) if text in _WORDS else text


# What a sentence may be about, by its own word.
_WORDS = frozenset(
    {
        *("owner", "building", "machine", "sheave", "rope set", "rope", "groove"),
        *("point", "comma", "a date", "a number", "a whole number", "text"),
    }
)


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple(
        (
            sentence,
            re.compile(
                re.sub(r"\\\{(\w+)\\\}", r"(?P<\1>.*?)", re.escape(sentence)), re.DOTALL
            ),
        )
        for sentence in _SENTENCES
    )
