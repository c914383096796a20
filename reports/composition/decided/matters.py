"""What findings and limits are about, in words, places together."""

import re
from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from django.utils.translation import gettext as _

from reports.composition import words
from reports.composition.reader import Reader
from reports.composition.topics import TOPICS

_DAY = re.compile(r"\b(\d{4})-(\d\d)-(\d\d)\b")
_NUMBER = re.compile(r"(?<![\w.-])\d+\.\d+(?![\w.])")
_AGAIN = re.compile(r" \(\d+\)$")
_UNKNOWN = " is not assessed"
_AHEAD = re.compile(r"(?P<what>.+) by (?P<day>\d{4}-\d\d-\d\d)")


def topic_of(key: str) -> str:
    """Return the topic, or the worn quantity, that a key is of."""
    return key.partition("/")[0]


def named(keys: Iterable[str]) -> str:
    """Return what keys are about, each matter once with all its places."""
    places: dict[str, list[str]] = defaultdict(list)
    for key in keys:
        name, _slash, place = _AGAIN.sub("", key).partition("/")
        places[_name(name)].append(place)
    return "; ".join(
        f"{name} ({where})" if (where := together(found)) else name
        for name, found in places.items()
    )


def matter(text: str, *, reader: Reader) -> str:
    """Return a matter as an option names it, such as "traction, groove 3"."""
    if text.endswith(_UNKNOWN):
        what = matter(text.removesuffix(_UNKNOWN), reader=reader)
        return _("%(what)s is not assessed") % {"what": what}
    ahead = _AHEAD.fullmatch(text)
    if ahead:
        return _("%(what)s by %(day)s") % {
            "what": matter(ahead["what"], reader=reader),
            "day": shown(ahead["day"], reader=reader),
        }
    name, _comma, place = text.partition(", ")
    stalled = next((t for t in TOPICS if ", " in t and text.startswith(t)), None)
    if stalled is not None:
        name, place = stalled, text.removeprefix(stalled).removeprefix(", ")
    if name not in TOPICS:
        name = name.replace(" ", "_")
    return named([f"{name}/{place}"])


def together(places: Iterable[str]) -> str:
    """Return places in a row, grooves and ropes by their numbers behind one word."""
    numbers: dict[str, list[str]] = defaultdict(list)
    others = []
    for place in dict.fromkeys(place for place in places if place):
        word, _space, number = place.partition(" ")
        if word in ("groove", "rope") and number.replace(", ", "").isdigit():
            numbers[word].append(number)
        else:
            others.append(words.place(place))
    numbered = [words.place(f"{w} {', '.join(found)}") for w, found in numbers.items()]
    return ", ".join((*numbered, *others))


def shown(text: str, *, reader: Reader) -> str:
    """Return a text with days and decimal marks as the reader writes them."""
    dated = _DAY.sub(
        lambda day: reader.day(date(int(day[1]), int(day[2]), int(day[3]))), text
    )
    return _NUMBER.sub(lambda number: reader.local(number[0]), dated)


def _name(name: str) -> str:
    if name in TOPICS:
        return words.topic(name).what
    found = words.quantity(name)
    return found[:1].upper() + found[1:]
