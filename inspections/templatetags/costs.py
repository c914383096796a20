"""Sums of money as pages say them: coarse, with the currency before the number."""

from django import template
from django.utils.formats import number_format

register = template.Library()
NO_VALUE = "–"


@register.simple_tag
def amount(value: float | None, currency: str = "") -> str:
    """Return an amount in tens, or in hundreds: estimates are no finer than that."""
    if value is None or not currency:
        return NO_VALUE
    coarse = round(value, -2 if abs(value) >= 1000.0 else -1)
    number = number_format(coarse, decimal_pos=0, use_l10n=True, force_grouping=True)
    return f"{currency} {number}"


@register.filter
def expected(count: float) -> str:
    """Return an expected number of works, never rounded to nothing."""
    if count == 0.0:
        return NO_VALUE
    if count < 0.05:
        return f"< {number_format(0.1, decimal_pos=1)}"
    # Rounded before: what formats a number cuts it off.
    return str(number_format(round(count, 1), decimal_pos=1))
