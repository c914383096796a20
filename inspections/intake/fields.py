"""The small shapes that an upload's fields have, each refused in words."""

import re
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from fleet.platform import printing
from inspections.intake.problems import RefusedReading

_REFERENCE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:-]{0,63}", re.ASCII)


def step(name: str) -> str:
    """Return a key as one step of a JSON pointer (RFC 6901), cut to 40 signs."""
    return name[:40].replace("~", "~0").replace("/", "~1")


def only(found: Mapping[str, Any], known: set[str], *, pointer: str) -> None:
    """Raise RefusedReading for a field that is not among the known ones."""
    for name in found:
        if name not in known:
            raise RefusedReading(
                f"this field is not taken here; there are {', '.join(sorted(known))}",
                pointer=f"{pointer}/{step(name)}",
                code="unknown-field",
            )


def reference(value: Any, pointer: str) -> str:
    """Return the sender's own name for something. Raises RefusedReading."""
    if not isinstance(value, str) or not _REFERENCE.fullmatch(value):
        raise RefusedReading(
            "a reference is 1 to 64 letters, digits and . _ : -", pointer=pointer
        )
    return value


def text(value: Any, most: int, pointer: str, *, empty: bool = False) -> str:
    """Return a text that is short enough. Raises RefusedReading."""
    if not isinstance(value, str) or len(value) > most or not (value or empty):
        raise RefusedReading(f"a text of at most {most} letters", pointer=pointer)
    if said := printing.turning(value):
        raise RefusedReading(said, pointer=pointer, code="unprintable")
    return value


def optional(found: Mapping[str, Any], name: str, most: int, *, pointer: str) -> str:
    """Return a text that may be missing or null, then empty."""
    value = found.get(name)
    if value is None:
        return ""
    return text(value, most, f"{pointer}/{name}", empty=True)


def moment(value: Any, *, pointer: str) -> datetime:
    """Return an instant; a time without its offset is refused, not guessed."""
    try:
        found = datetime.fromisoformat(value)
    except (TypeError, ValueError) as error:
        raise RefusedReading(
            "a time is written 2026-03-31T14:05:00+01:00", pointer=pointer
        ) from error
    if found.tzinfo is None or found.utcoffset() is None:
        raise RefusedReading(
            "the time has no offset; write it like 2026-03-31T14:05:00+01:00",
            pointer=pointer,
            code="offset-missing",
        )
    if not 1950 <= found.year <= 2200:
        raise RefusedReading("the year is not between 1950 and 2200", pointer=pointer)
    # PostgreSQL knows offsets up to 16 hours only; the instant is the same.
    return found.astimezone(UTC)


def whole(
    found: Mapping[str, Any], name: str, *, most: int, pointer: str
) -> int | None:
    """Return a whole number from 0 on that may be missing or null."""
    value = found.get(name)
    if value is None:
        return None
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= most:
        raise RefusedReading(
            f"a whole number from 0 to {most}", pointer=f"{pointer}/{name}"
        )
    return value


def number(
    found: Mapping[str, Any], name: str, *, most: float, pointer: str
) -> float | None:
    """Return a number of at most a size that may be missing or null."""
    value = found.get(name)
    if value is None:
        return None
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not is_number or not -most <= value <= most:
        raise RefusedReading(
            f"a number from -{most:g} to {most:g}", pointer=f"{pointer}/{name}"
        )
    return float(value)
