"""The numbers that are put into a worked calculation, each once."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.worked import Line, Number, NumberOrigin, shown
from reports import content
from reports.composition import worked_units
from reports.composition.reader import Reader

NamedLines = tuple[str, Sequence[Line]]
_Key = tuple[str, str, float]


def put_in(
    parts: Sequence[NamedLines], *, numbers: Mapping[str, int], reader: Reader
) -> content.Table:
    """Return each number that is put in, once, with where it is from.

    What of one sign has several values says in which calculations each stands: load
    cases by their `numbers`, others by their name.
    """
    given: dict[_Key, tuple[int, Line, Number]] = {}
    stands_in: dict[_Key, list[str]] = {}
    for name, line, digits, number in _given(parts):
        key = (number.symbol, number.name, number.value)
        if name not in stands_in.setdefault(key, []):
            stands_in[key].append(name)
        # As fine as the finest line has it.
        if key not in given or digits >= given[key][0]:
            given[key] = (digits, line, number)
    signs = [symbol for symbol, _name, _value in given]
    rows = []
    for key, (_digits, line, number) in given.items():
        what = shown.called(number.name)
        if signs.count(number.symbol) > 1:
            what += f" ({_where(stands_in[key], numbers)})"
        rows.append(
            (
                shown.symbol(number.symbol),
                what,
                _in_both(line, number, reader=reader),
                # What is open has its range once, above.
                shown.from_where(replace(number, low=None, high=None)),
            )
        )
    return content.Table(
        title=_("What is put in"),
        columns=(
            content.Column(heading=_("Sign"), share=1.3),
            content.Column(heading=_("What"), share=2.5),
            content.Column(heading=_("Value"), share=1.8),
            content.Column(heading=_("From"), share=2.2),
        ),
        rows=tuple(rows),
    )


def _where(names: Sequence[str], numbers: Mapping[str, int]) -> str:
    """Return in which calculations a number stands: cases by number, others by name."""
    cases = [str(numbers[name]) for name in names if name in numbers]
    parts = [name for name in names if name not in numbers]
    if cases:
        said = ngettext("case %(numbers)s", "cases %(numbers)s", len(cases))
        parts.insert(0, said % {"numbers": ", ".join(cases)})
    return "; ".join(parts)


def _given(parts: Sequence[NamedLines]) -> Iterator[tuple[str, Line, int, Number]]:
    """Yield what is put in: from the register or the rules, or worked out unseen."""
    results = {line.symbol for _name, lines in parts for line in lines}
    for name, lines in parts:
        for line in lines:
            digits = line.digits or 0
            for number in line.numbers:
                is_worked = number.origin is NumberOrigin.WORKED
                if not (is_worked and number.symbol in results):
                    yield name, line, digits, number


def _in_both(line: Line, number: Number, *, reader: Reader) -> str:
    """Return a number as it is put in, and what that is in the reader's units."""
    text = shown.number(line, number)
    other = worked_units.beside(number.value, number.unit, reader=reader)
    return f"{text} = {other}" if other else text
