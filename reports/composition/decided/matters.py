"""What findings and limits are about, in words, places together."""

from collections import defaultdict
from collections.abc import Iterable

from inspections.reasons import Place, place_of
from inspections.reasons.places import together
from reports.composition import words
from reports.composition.topics import TOPICS

# Behind the key of a second finding of one topic and place.
_AGAIN = " ("


def topic_of(key: str) -> str:
    """Return the topic, or the worn quantity, that a key is of."""
    return key.partition("/")[0]


def named(keys: Iterable[str]) -> str:
    """Return what keys are about, each matter once with all its places."""
    places: dict[str, list[Place]] = defaultdict(list)
    for key in keys:
        name, _slash, place = key.partition(_AGAIN)[0].partition("/")
        places[name] += [place_of(place)] if place else []
    return "; ".join(
        f"{_name(name)} ({where})"
        if (where := words.places(together(found)))
        else _name(name)
        for name, found in places.items()
    )


def _name(name: str) -> str:
    if name in TOPICS:
        return words.topic(name).what
    found = words.quantity(name)
    return found[:1].upper() + found[1:]
