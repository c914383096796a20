"""How pages say reasons and places that are not stored."""

from typing import Any

from django import template

from inspections import wording
from inspections.reasons import Reason

register = template.Library()


@register.simple_tag(takes_context=True)
def reason(context: Any, said: Reason | None) -> str:
    """Return a reason in the reader's language and units."""
    if said is None:
        return "–"
    family = context["preferences"].family
    return wording.say(said, family=family, words=wording.PageWords)


@register.filter
def spot(name: str) -> str:
    """Return what a place is called."""
    return wording.place(name)
