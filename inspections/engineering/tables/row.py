"""Rows of a table and the two ways to read between them."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from inspections.engineering.source import Source
from inspections.engineering.validity import OutsideValidity, require_finite
from inspections.reasons import Code, because

# An angle that went through radians comes back some 1e-14 beside the printed row.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedRow:
    """One printed row.

    Parameters
    ----------
    at : the argument [unit of the table's argument]
    value : the value [-]
    source : where it was read
    """

    at: float
    value: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedTable:
    """Rows in rising order of their argument."""

    argument: str
    rows: tuple[PrintedRow, ...]


def rows(*, source: Source, values: Mapping[float, float]) -> tuple[PrintedRow, ...]:
    """Return rows of one source in rising order.

    Parameters
    ----------
    source : the source of every row
    values : argument to value [as the table says]

    Raises nothing.

    Source: own bookkeeping.

    >>> from inspections.engineering.source import Certainty
    >>> printed = Source(document="34 Pa. Code 7.56", certainty=Certainty.CONFIRMED)
    >>> rows(source=printed, values={100.0: 7.95, 50.0: 7.60})[0].value
    7.6
    """
    return tuple(
        PrintedRow(at=at, value=value, source=source)
        for at, value in sorted(values.items())
    )


def exact(*, table: PrintedTable, at: float) -> PrintedRow:
    """Return the row printed for this argument.

    Parameters
    ----------
    table : the table
    at : the argument [unit of the table]

    Raises OutsideValidity where no row is printed.

    Source: own bookkeeping.

    >>> from inspections.engineering.tables import speed_factors
    >>> exact(table=speed_factors.PASSENGER, at=500.0).value
    10.25
    """
    for row in table.rows:
        if abs(row.at - at) <= _ROUNDING * max(1.0, abs(at)):
            return row
    printed = ", ".join(f"{row.at:g}" for row in table.rows)
    raise OutsideValidity(
        name=table.argument, value=at, rule=because(Code.RULE_ONE_OF, allowed=printed)
    )


def interpolate(*, table: PrintedTable, at: float) -> float:
    """Return the value at an argument, on the straight line between two rows.

    Parameters
    ----------
    table : the table
    at : the argument [unit of the table]

    Raises OutsideValidity before the first and after the last row.

    Source: own bookkeeping; whether a table may be interpolated is said where it is.

    >>> from inspections.engineering.tables import bending
    >>> interpolate(table=bending.UNDERCUT, at=92.5)
    5.85
    """
    require_finite(**{table.argument: at})
    slack = _ROUNDING * max(1.0, abs(at))
    for lower, upper in pairwise(table.rows):
        if lower.at - slack <= at <= upper.at + slack:
            share = min(max((at - lower.at) / (upper.at - lower.at), 0.0), 1.0)
            return lower.value + share * (upper.value - lower.value)
    low, high = table.rows[0].at, table.rows[-1].at
    raise OutsideValidity(
        name=table.argument,
        value=at,
        rule=because(Code.RULE_FROM_TO, low=low, high=high),
    )
