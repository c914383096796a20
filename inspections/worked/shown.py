"""Worked calculations as text: formulas, numbers put in, where they come from."""

from django.utils import formats

from inspections import wording
from inspections.worked import formula, words
from inspections.worked.records import RESULT_DIGITS, Line, Number


def called(code: str) -> str:
    """Return what a part, a line or a number is called."""
    return words.said(words.NAMES[code])


def from_where(number: Number) -> str:
    """Return where a number comes from; of one that is assumed its range too.

    Of what was read instead of what is registered, the day.
    """
    said = words.said(words.ORIGINS[number.origin])
    if number.read_on is not None:
        day = wording.written_day(number.read_on)
        said = words.said(words.READ_ON).format(day=day)
    if number.low is not None and number.high is not None:
        ends = (localised(formula.printed(e, 4)) for e in (number.low, number.high))
        said += f", {' … '.join(ends)}"
    return f"{said} ({number.source})" if number.source else said


def symbol(name: str) -> str:
    """Return a symbol as it is written."""
    return formula.symbol(name)


def in_symbols(line: Line) -> str:
    """Return the formula of a line in its symbols."""
    return localised(formula.written(line.formula))


def put_in(line: Line) -> str:
    """Return the formula of a line with its numbers put in."""
    numbers = {each.symbol: each.value for each in line.numbers}

    def shown(name: str) -> str:
        text = localised(formula.printed(numbers[name], line.digits or RESULT_DIGITS))
        return f"({text})" if numbers[name] < 0.0 else text

    # Numbers of the formula itself have the marks of the language too.
    return localised(formula.written(line.formula, shown))


def result(line: Line) -> str:
    """Return the result of a line with its unit."""
    text = localised(formula.printed(line.value, RESULT_DIGITS))
    return f"{text} {line.unit}".rstrip()


def number(line: Line, each: Number) -> str:
    """Return one number of a line with its unit."""
    text = localised(formula.printed(each.value, line.digits or RESULT_DIGITS))
    return f"{text} {each.unit}".rstrip()


def localised(text: str) -> str:
    """Return a number's text with the marks of the active language."""
    sign = formats.get_format("DECIMAL_SEPARATOR")
    return text.replace("-", "−").replace(".", str(sign))
