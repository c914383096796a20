"""Whom somebody can call who is asked to act, on every page that asks."""

from typing import Any

from django import template

from fleet.register.models import Owner
from fleet.register.people import calling

register = template.Library()
_IS_SAID = "whom to call"


@register.inclusion_tag("pages/_call.html", takes_context=True)
def whom_to_call(context: Any, owner: Owner | None = None) -> dict[str, Any]:
    """Show the contractor's responsible person, and the owner's where one is given."""
    context.render_context[_IS_SAID] = True
    scope = context["scope"]
    return {"scope": scope, "calls": calling.to_call(scope=scope, owner=owner)}


@register.inclusion_tag("pages/_call.html", takes_context=True)
def else_whom_to_call(context: Any) -> dict[str, Any]:
    """Show whom to call at the foot of a page that has not said it already."""
    if "scope" not in context or context.get("calls"):
        return {}
    return {} if context.render_context.get(_IS_SAID) else whom_to_call(context)


register.filter("dialled", calling.dialled)
