"""Texts that stand as they are typed: refused at the door where they would not.

Names must be such that documents can print them; which letters there are, the fonts of
the app above decide; settings name who is asked. No text at all may turn the direction
of what stands beside it: a value, a machine or a verdict would be read as another.
"""

import re
import unicodedata
from collections.abc import Callable, Mapping
from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string

from fleet.platform.errors import Unprocessable

# Fields that stand in documents as somebody's or something's name.
NAMES = frozenset(
    {
        "name",
        "address",
        "responsible_person",
        "telephone",
        "first_name",
        "last_name",
        "done_by",
    }
)
CODE = "unprintable"
# Embeddings, overrides and isolates (Unicode Standard Annex 9, 2.1 to 2.4). Marks and
# letters of scripts that run from right to left are no such signs and stay: what stands
# beside them is kept apart where it is shown.
_TURNING = re.compile("[\u202a-\u202e\u2066-\u2069]")


# So much of a text is said back to whoever sent it.
_SHOWN = 60


class Unprintable(Unprocessable):
    """A name has a letter that no document can print."""

    code = CODE


def refusal(text: str) -> str:
    """Return why documents cannot print a text; empty where they can.

    >>> refusal("Łódź, Κτίριο 4")
    ''
    """
    first: Callable[[str], str | None] = import_string(settings.FIRST_UNPRINTABLE)
    letter = first(text)
    if letter is None:
        return ""
    name = unicodedata.name(letter, "unnamed")
    return (
        f"U+{ord(letter):04X} ({name}) cannot be printed in documents; Latin, Greek "
        "and Cyrillic letters can."
    )


def turning(text: str) -> str:
    """Return why a text would not stand as it was typed; empty where it does.

    >>> turning("12.0\\u202e0.11").partition("; ")[2]
    'leave it out: "12.00.11".'
    """
    found = _TURNING.search(text)
    if found is None:
        return ""
    name = unicodedata.name(found[0])
    return (
        f"U+{ord(found[0]):04X} ({name}) turns what stands beside it round; "
        f'leave it out: "{without_turning(text)[:_SHOWN]}".'
    )


def without_turning(text: str) -> str:
    """Return a text without the signs that `turning` refuses.

    >>> without_turning("12.0\\u202e0.11")
    '12.00.11'
    """
    return _TURNING.sub("", text)


def check(fields: Mapping[str, Any], *, at: str = "") -> None:
    """Raise Unprintable, with a pointer below `at`, for the first name that is one."""
    for name in sorted(NAMES & fields.keys()):
        if said := refusal(str(fields[name] or "")):
            raise Unprintable(said, pointer=f"{at}/{name}")
