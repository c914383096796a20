"""Which of several formulas gives a value that is stored."""

from collections.abc import Iterable
from math import isclose

from inspections.worked import formula
from inspections.worked.records import Number

Candidate = tuple[str, tuple[Number, ...]]
_NEAR = 1e-9


def first_that_gives(
    value: float | None, candidates: Iterable[Candidate]
) -> Candidate | None:
    """Return the first formula with numbers that give the value; None if none does."""
    for text, numbers in candidates if value is not None else ():
        given = {each.symbol: each.value for each in numbers}
        found = formula.evaluate(text, given)
        if isclose(found, value or 0.0, rel_tol=_NEAR, abs_tol=_NEAR):
            return text, numbers
    return None
