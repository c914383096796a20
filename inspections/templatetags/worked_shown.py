"""How pages show worked calculations: formulas, numbers, where they come from."""

from collections.abc import Mapping
from typing import Any

from django import template

from inspections import wording
from inspections.reasons import Quantity
from inspections.worked import Line, Number, shown

register = template.Library()
for _filter in (
    shown.called,
    shown.from_where,
    shown.symbol,
    shown.in_symbols,
    shown.put_in,
    shown.result,
):
    register.filter(_filter)


@register.simple_tag
def number(line: Line, each: Number) -> str:
    """Return one number of a line with its unit."""
    return shown.number(line, each)


@register.simple_tag(takes_context=True)
def beside(context: Any, of: Line | Number) -> str:
    """Return a number or a result in the reader's unit, where that is another."""
    words = wording.ReadersWords(family=context["preferences"].family)
    found = words.beside(Quantity(value=of.value, unit=of.unit))
    return f" ({found})" if found else ""


@register.simple_tag
def name_of(names: Mapping[int, str], pk: int) -> str:
    """Return who took a reading."""
    return names.get(pk) or "–"
