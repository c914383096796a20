"""Whom somebody can call who is asked to act, on every page that asks."""

from typing import Any

from django import template

from fleet.register.models import Owner
from fleet.register.people import calling

register = template.Library()


@register.inclusion_tag("pages/_call.html", takes_context=True)
def whom_to_call(context: Any, owner: Owner | None = None) -> dict[str, Any]:
    """Show the contractor's responsible person, and the owner's where one is given."""
    scope = context["scope"]
    return {"scope": scope, "calls": calling.to_call(scope=scope, owner=owner)}


register.filter("dialled", calling.dialled)
