"""Where on a machine something is: its kind and number, worded in the catalogue."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from inspections.records import made_by_slots


class Spot(StrEnum):
    """The places there are; the values begin, or are, the places of findings."""

    GROOVE = "groove"
    ROPE = "rope"
    FLOOR = "floor"
    PULLEY = "pulley"
    CAR_AT_TOP = "car at the top"
    CAR_AT_MIDDLE = "car at the middle"
    CAR_AT_BOTTOM = "car at the bottom"
    COUNTERWEIGHT_AT_TOP = "counterweight at the top"
    COUNTERWEIGHT_AT_MIDDLE = "counterweight at the middle"
    COUNTERWEIGHT_AT_BOTTOM = "counterweight at the bottom"
    CRACK = "crack"
    RIM_BOLTS = "rim bolts"
    HUB = "hub"
    SPOKES = "spokes"
    KEYWAY = "keyway"
    BEARING = "bearing"
    BRAKE_PART = "brake"
    KEEPER = "keeper"
    FASTENING = "fastening"
    GUARDS = "guards"
    ALIGNMENT = "alignment"
    TEST_STATIC = "125 % static"
    TEST_EMPTY_UP = "empty car up"
    TEST_LOADED_DOWN = "loaded car down"


NUMBERED = (Spot.GROOVE, Spot.ROPE, Spot.FLOOR, Spot.PULLEY)
_SPOTS = {member.value: member for member in Spot}


class OwnName(str):
    """A place with a name of its own, such as a gauge's, or of a newer version."""

    __slots__ = ()


@made_by_slots
@dataclass(frozen=True, slots=True)
class Place:
    """A place, and its numbers where there are several of its kind."""

    spot: Spot | OwnName
    numbers: tuple[str, ...] = ()


def place_of(name: str) -> Place:
    """Return the place of a stored finding's or forecast's name of it."""
    word, _, rest = name.partition(" ")
    spot = _SPOTS.get(word)
    if spot in NUMBERED and rest:
        return Place(spot=spot, numbers=tuple(n.strip() for n in rest.split(",")))
    return Place(spot=_SPOTS.get(name) or OwnName(name))


def spot_of(name: str) -> Spot | OwnName:
    """Return a place's kind by its stored value, as it came where not known here."""
    return _SPOTS.get(name) or OwnName(name)


def together(places: Iterable[Place]) -> tuple[Place, ...]:
    """Return places each once, those of one numbered kind as one, in first order."""
    numbers: dict[Spot | OwnName, dict[str, None]] = {}
    for place in places:
        numbers.setdefault(place.spot, {}).update(dict.fromkeys(place.numbers))
    return tuple(
        Place(spot=spot, numbers=tuple(each)) for spot, each in numbers.items()
    )
