"""How pages show worked calculations: formulas, numbers, where they come from."""

from collections.abc import Mapping

from django import template

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


@register.simple_tag
def name_of(names: Mapping[int, str], pk: int) -> str:
    """Return who took a reading."""
    return names.get(pk) or "–"
