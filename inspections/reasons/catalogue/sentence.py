"""One sentence of the catalogue: its words and the values that go into it."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Holds(StrEnum):
    """What a value of a reason can be."""

    NUMBER = "number"
    QUANTITY = "quantity"
    TERM = "term"
    ITEMS = "items"
    TEXT = "text"
    TEXTS = "texts"
    # A word of a closed list, a kind of reading or a form of groove, by its code.
    WORD = "word"
    DAY = "day"
    REASON = "reason"
    PLACE = "place"
    PLACES = "places"


NUMBER, QUANTITY, TERM, ITEMS = Holds.NUMBER, Holds.QUANTITY, Holds.TERM, Holds.ITEMS
TEXT, TEXTS, DAY, REASON = Holds.TEXT, Holds.TEXTS, Holds.DAY, Holds.REASON
PLACE, PLACES, WORD = Holds.PLACE, Holds.PLACES, Holds.WORD


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """A whole sentence with named values, as `str.format` takes it.

    Where it reads otherwise for one, `one` has those words and `count` names the
    value that tells.
    """

    words: str
    fields: Mapping[str, Holds]
    one: str = ""
    count: str = ""


def say(words: str, /, **fields: Holds) -> Sentence:
    """Return a sentence and the values that it takes."""
    return Sentence(words=words, fields=fields)


def say_by(count: str, one: str, words: str, /, **fields: Holds) -> Sentence:
    """Return a sentence that reads otherwise for one."""
    return Sentence(words=words, one=one, count=count, fields=fields)
