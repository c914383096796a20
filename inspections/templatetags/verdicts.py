"""What templates say beside a verdict."""

from typing import Any

from django import template

from inspections import cautions

register = template.Library()


@register.inclusion_tag("inspections/cautions.html")
def cautions_of_verdicts() -> dict[str, Any]:
    """Show the cautions that go with every verdict."""
    return {"cautions": cautions.SHORT}
