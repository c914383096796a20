"""The fixed words of a document in the active language."""

from dataclasses import fields

from django.utils import formats
from django.utils.translation import gettext

from reports import content

_MARK = "decimal_mark"


def wording() -> content.Wording:
    """Return the headings and labels in the active language."""
    english = content.Wording()
    words = {
        field.name: gettext(getattr(english, field.name))
        for field in fields(english)
        if field.name != _MARK
    }
    return content.Wording(
        **words, decimal_mark=formats.get_format("DECIMAL_SEPARATOR")
    )
