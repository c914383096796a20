"""Names that documents must be able to print: refused at the door where they cannot.

Which letters there are, the fonts of the app above decide; settings name who is asked.
"""

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


def check(fields: Mapping[str, Any], *, at: str = "") -> None:
    """Raise Unprintable, with a pointer below `at`, for the first name that is one."""
    for name in sorted(NAMES & fields.keys()):
        if said := refusal(str(fields[name] or "")):
            raise Unprintable(said, pointer=f"{at}/{name}")
