"""A worked calculation: lines with a formula, its numbers, and where each is from."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from inspections.worked import formula as formulas

# What a result is printed with; its numbers get as many digits as it takes.
RESULT_DIGITS = 4
_LEAST, _MOST = 4, 15


class NumberOrigin(StrEnum):
    """Where a number comes from."""

    REGISTER = "REGISTER"
    READING = "READING"
    ASSUMED = "ASSUMED"
    RULES = "RULES"
    WORKED = "WORKED"


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """One number of a formula; `low` to `high` is the range of one that is assumed.

    `read_on` is the day on which a value of the register was read that is used instead.
    """

    symbol: str
    name: str
    value: float
    unit: str = ""
    origin: NumberOrigin
    low: float | None = None
    high: float | None = None
    source: str = ""
    read_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One result with its formula; `number` says of what, where there are several."""

    symbol: str
    name: str
    value: float
    unit: str = ""
    formula: str
    numbers: tuple[Number, ...]

    @property
    def digits(self) -> int | None:
        """Return with how many digits its numbers give the printed result.

        None where they do not: the formula is not what the value was worked out by.
        """
        wanted = formulas.printed(self.value, RESULT_DIGITS)
        for digits in range(_LEAST, _MOST + 1):
            given = {
                each.symbol: float(formulas.printed(each.value, digits))
                for each in self.numbers
            }
            try:
                found = formulas.evaluate(self.formula, given)
            except (ArithmeticError, ValueError):
                return None
            if formulas.printed(found, RESULT_DIGITS) == wanted:
                return digits
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedLines:
    """Lines that belong together: a load case, a value, a limit."""

    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A finding worked out again from what is stored with it.

    `is_whole` is false where the value could not be worked out again; what can is told
    all the same.
    """

    parts: tuple[WorkedLines, ...]
    is_whole: bool
