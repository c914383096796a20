"""Where ticks stand on an axis; the composer writes the words beside them."""

from datetime import date
from math import ceil, floor, log10


def nice_positions(*, low: float, high: float, count: int = 5) -> tuple[float, ...]:
    """Return round positions within [low, high], about ``count`` of them.

    >>> nice_positions(low=0.0, high=4.3)
    (0.0, 1.0, 2.0, 3.0, 4.0)
    """
    step = nice_step(span=high - low, count=count)
    first = ceil(low / step - 1e-9)
    last = floor(high / step + 1e-9)
    # round() takes away the last-digit noise of the product, 0.30000000000000004
    return tuple(round(index * step, 10) for index in range(first, last + 1))


def nice_step(*, span: float, count: int = 5) -> float:
    """Return 1, 2 or 5 times a power of ten that cuts span into about count parts.

    >>> nice_step(span=4.3)
    1.0
    """
    if span <= 0.0:
        raise ValueError(f"span is {span:g}; it must be positive")
    raw = span / count
    power: float = 10.0 ** floor(log10(raw))
    factors = (1.0, 2.0, 5.0, 10.0)
    return min(factors, key=lambda factor: abs(factor - raw / power)) * power


def year_starts(*, first: date, last: date, at_most: int = 8) -> tuple[date, ...]:
    """Return the first of January of years within the range, evenly thinned out."""
    years = range(first.year + (first > date(first.year, 1, 1)), last.year + 1)
    stride = max(1, ceil(len(years) / at_most))
    return tuple(date(year, 1, 1) for year in years[::stride])
