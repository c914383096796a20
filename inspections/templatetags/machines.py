"""A machine's name wherever it stands; one out of service cannot be overlooked."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import template

from inspections.templatetags.shown import day

register = template.Library()


@register.inclusion_tag("inspections/pages/_machine.html", takes_context=True)
def machine(context: Any, of: Any, *, named: bool = False) -> dict[str, Any]:
    """Show a machine's code with its page, and that it is out of service if it is.

    `of` is a machine, `named` adds its name. Every page with a verdict knows which
    machines are out of service.
    """
    is_out = of.pk in context["stopped_machines"]
    return {"machine": of, "named": named, "is_out": is_out}


@register.filter
def of(each: Any, key: Any) -> Any:
    """Return what a mapping has under a key; None where there is no mapping."""
    return each.get(key) if isinstance(each, Mapping) else None


@register.filter
def isoday(text: str | None) -> str:
    """Return a stored day as people of the language write it."""
    return day(date.fromisoformat(text) if text else None)
