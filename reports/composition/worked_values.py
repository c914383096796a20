"""The numbers that are put into a worked calculation, each once."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections.worked import Line, Number, NumberOrigin, Part, shown
from reports import content
from reports.composition import worked_units
from reports.composition.reader import Reader


def put_in(parts: Sequence[Part], *, reader: Reader) -> content.Table:
    """Return each number that is put in, once, with where it is from."""
    rows: dict[tuple[str, str, str], tuple[str, ...]] = {}
    most: dict[tuple[str, str, float], int] = {}
    given = [
        (line, number)
        for part in parts
        for line in part.lines
        for number in line.numbers
        if number.origin is not NumberOrigin.WORKED
    ]
    for line, number in given:
        key = (number.symbol, number.name, number.value)
        if (line.digits or 0) >= most.get(key, 0):
            most[key] = line.digits or 0
            rows[(number.symbol, number.name, str(number.value))] = (
                shown.symbol(number.symbol),
                shown.called(number.name),
                _in_both(line, number, reader=reader),
                shown.from_where(number),
            )
    return content.Table(
        title=_("What is put in"),
        columns=(
            content.Column(heading=_("Sign"), share=1.3),
            content.Column(heading=_("What"), share=2.5),
            content.Column(heading=_("Value"), share=1.8),
            content.Column(heading=_("From"), share=2.2),
        ),
        rows=tuple(rows.values()),
    )


def _in_both(line: Line, number: Number, *, reader: Reader) -> str:
    """Return a number as it is put in, and what that is in the reader's units."""
    text = shown.number(line, number)
    other = worked_units.beside(number.value, number.unit, reader=reader)
    return f"{text} = {other}" if other else text
