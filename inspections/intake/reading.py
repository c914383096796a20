"""One reading of an upload: its kind, place, number and unit, as typed and as meant."""

from collections.abc import Mapping
from datetime import datetime
from difflib import get_close_matches
from functools import lru_cache
from typing import Any

from fleet.platform import units
from inspections.intake import fields
from inspections.intake.problems import RefusedReading
from inspections.intake.understood import NewReading
from inspections.kinds import KINDS, NUMBERS, PLACE_VALUES, Kind, Subject

_NUMBERED = (Subject.GROOVE, Subject.ROPE)
_MOST_PARTS = 99
_READING_FIELDS = {
    "reference",
    "kind",
    "groove",
    "rope",
    "place",
    "value",
    "unit",
    "taken_at",
    "gauge",
    "note",
    "corrects",
    "sequence",
    "clock_offset_s",
}
# A century; of a clock that is further off nothing can be said.
_MOST_OFFSET_S = 3.2e9
_MOST_SEQUENCE = 2**53


def read_reading(
    reading: Any, *, pointer: str, index: int, visited_at: datetime | None
) -> NewReading:
    """Return a reading as it came. Raises RefusedReading, with the field and why."""
    if not isinstance(reading, dict):
        raise RefusedReading("a reading is an object", pointer=pointer)
    fields.only(reading, _READING_FIELDS, pointer=pointer)
    kind = KINDS.get(str(reading.get("kind")))
    if kind is None:
        raise RefusedReading(
            f"{str(reading.get('kind'))[:40]!r} is no kind of reading; nearest to it "
            f"are {_nearest_kinds(str(reading.get('kind'))[:40])}",
            pointer=f"{pointer}/kind",
            code="unknown-kind",
        )
    taken_at = reading.get("taken_at")
    value, word, typed_unit = _value(reading, kind, pointer=pointer)
    return NewReading(
        index=index,
        reference=fields.reference(reading.get("reference"), f"{pointer}/reference"),
        kind=kind,
        number=_number(reading, kind, pointer=pointer),
        place=_place(reading.get("place"), kind, pointer=f"{pointer}/place"),
        typed_value=reading["value"],
        typed_unit=typed_unit,
        value=value,
        word=word,
        taken_at=(
            visited_at
            if taken_at is None and visited_at is not None
            else fields.moment(taken_at, pointer=f"{pointer}/taken_at")
        ),
        gauge=fields.optional(reading, "gauge", 50, pointer=pointer),
        note=fields.optional(reading, "note", 500, pointer=pointer),
        corrects=(
            fields.reference(reading["corrects"], f"{pointer}/corrects")
            if reading.get("corrects") is not None
            else ""
        ),
        sequence=fields.whole(
            reading, "sequence", most=_MOST_SEQUENCE, pointer=pointer
        ),
        clock_offset_s=fields.number(
            reading, "clock_offset_s", most=_MOST_OFFSET_S, pointer=pointer
        ),
    )


@lru_cache(maxsize=256)
def _nearest_kinds(word: str) -> str:
    return ", ".join(get_close_matches(word, KINDS, n=3, cutoff=0.0))


def _value(
    reading: Mapping[str, Any], kind: Kind, *, pointer: str
) -> tuple[float | None, str, str]:
    """Return (canonical value, word, unit as typed); one of the first two is empty."""
    typed, unit = reading.get("value"), reading.get("unit")
    if not isinstance(typed, str) or len(typed) > 40:
        raise RefusedReading(
            'value is a text, such as "11.8" or "29/64"', pointer=f"{pointer}/value"
        )
    if kind.is_worded:
        if typed not in kind.words:
            raise RefusedReading(
                f"{typed!r}: {kind.code} takes {', '.join(kind.words)}",
                pointer=f"{pointer}/value",
            )
        if unit not in (None, ""):
            raise RefusedReading(
                f"{kind.code} has no unit",
                pointer=f"{pointer}/unit",
                code="unit-not-taken",
            )
        return None, typed, ""
    if not isinstance(unit, str) or not unit:
        raise RefusedReading(
            "a value without a unit is not taken",
            pointer=f"{pointer}/unit",
            code="unit-missing",
        )
    try:
        number = units.to_canonical(text=typed, unit=unit, quantity=kind.quantity)
    except units.UnreadableNumber as error:
        raise RefusedReading(
            error.detail, pointer=f"{pointer}/value", code=error.code
        ) from error
    except (units.UnknownUnit, units.WrongDimension) as error:
        raise RefusedReading(
            error.detail, pointer=f"{pointer}/unit", code=error.code
        ) from error
    _check_range(number, kind, pointer=f"{pointer}/value")
    return number, "", unit


def _check_range(number: float, kind: Kind, *, pointer: str) -> None:
    """Refuse what cannot be: a length below nothing, half a broken wire."""
    needs_some = kind.low is not None and kind.low.value > 0
    if not kind.signed and (number < 0 or (needs_some and number == 0)):
        least = "above 0" if needs_some else "0 or more"
        raise RefusedReading(
            f"{kind.code} must be {least}", pointer=pointer, code="out-of-range"
        )
    if kind.quantity == "count" and number != int(number):
        raise RefusedReading(f"{kind.code} is a whole number", pointer=pointer)
    if abs(number) >= 1e12:
        raise RefusedReading(f"{kind.code} is too large", pointer=pointer)


def _number(reading: Mapping[str, Any], kind: Kind, *, pointer: str) -> int | None:
    """Return the number of the groove or rope, as the kind asks for one."""
    for subject in _NUMBERED:
        given = reading.get(subject.value)
        if subject is not kind.subject:
            if given is not None:
                raise RefusedReading(
                    f"{kind.code} is not taken on a {subject.value}",
                    pointer=f"{pointer}/{subject.value}",
                )
            continue
        if not isinstance(given, int) or isinstance(given, bool) or given < 1:
            raise RefusedReading(
                f"{kind.code} needs the number of its {subject.value}",
                pointer=f"{pointer}/{subject.value}",
            )
        if given > _MOST_PARTS:
            raise RefusedReading(
                f"no machine has so many {subject.value}s",
                pointer=f"{pointer}/{subject.value}",
            )
        return given
    return None


def _place(given: Any, kind: Kind, *, pointer: str) -> dict[str, Any]:
    place = {} if given is None else given
    if not isinstance(place, dict):
        raise RefusedReading("place is an object", pointer=pointer)
    for key in kind.place:
        if key not in place:
            raise RefusedReading(
                f"{kind.code} needs {key}",
                pointer=f"{pointer}/{key}",
                code="place-missing",
            )
    for key, value in place.items():
        if key not in kind.place and key not in kind.may:
            raise RefusedReading(
                f"{kind.code} has no {key[:40]!r}",
                pointer=f"{pointer}/{fields.step(key)}",
                code="unknown-place",
            )
        _check_place(key, value, pointer=f"{pointer}/{key}")
    return dict(place)


def _check_place(key: str, value: Any, *, pointer: str) -> None:
    allowed = PLACE_VALUES[key]
    if allowed:
        if value not in allowed:
            raise RefusedReading(f"use one of {', '.join(allowed)}", pointer=pointer)
    elif key in NUMBERS:
        least, greatest, unit = NUMBERS[key]
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise RefusedReading(f"a number in {unit}", pointer=pointer)
        if not least <= value <= greatest:
            raise RefusedReading(
                f"from {least:g} to {greatest:g} {unit}", pointer=pointer
            )
    elif not isinstance(value, str) or not 0 < len(value) <= 40:
        raise RefusedReading("a text of at most 40 letters", pointer=pointer)
