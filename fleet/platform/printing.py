"""Names that documents must be able to print: refused at the door where they cannot.

Which letters there are, the fonts of the app above decide; settings name who is asked.
"""

import unicodedata
from collections.abc import Callable

from django.conf import settings
from django.utils.module_loading import import_string

# Fields that stand in documents as somebody's or something's name.
NAMES = frozenset({"name", "address", "responsible_person", "first_name", "last_name"})
CODE = "unprintable"


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
