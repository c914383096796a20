"""The fixed words of a document in the active language."""

from dataclasses import fields

from django.utils.translation import gettext

from reports import content


def wording() -> content.Wording:
    """Return the headings and labels in the active language."""
    english = content.Wording()
    return content.Wording(
        **{
            field.name: gettext(getattr(english, field.name))
            for field in fields(english)
        }
    )
