"""How long a part runs that is yet to come, by the wear of the one that runs now."""

from math import exp, expm1

from inspections.decisions.records import AheadLimit, ClassLearnt

_COUNTS = ("broken_wires",)
_STRAIGHT = 1e-6
_FEWEST = 1.0
"""A count below one tells no age: what follows is taken to go on evenly."""


def has_life(limit: AheadLimit) -> bool:
    """Return whether draws can be made of a part yet to come."""
    if limit.limit is None or limit.rate_per_year is None:
        return False
    return limit.limit > 0.0 and limit.rate_per_year > 0.0


def median_life(*, limit: AheadLimit, of: ClassLearnt) -> float:
    """Return the years from new to the limit, at the pace of the part that runs now.

    of : how the class bends; a rate is that at the level it was forecast from

    A length wears at a rate in proportion to exp(c z), z = level / limit, c its
    curvature: integrated from new to the limit,

        T = L / rate * exp(c z) * (1 - exp(-c)) / c

    A count grows as the power b of time, so that it is as old as b * count / rate, and
    T = age * (limit / count)^(1 / b). Both are first principles.

    Raises ValueError where limit or rate is not known or not positive.

    Example
    -------
    >>> seat = AheadLimit(
    ...     quantity="seat_depth", place="", safety=True, level=2.0, limit=2.0,
    ...     rate_per_year=0.5,
    ... )
    >>> median_life(limit=seat, of=ClassLearnt())
    4.0
    >>> round(median_life(limit=seat, of=ClassLearnt(curvature=1.0)), 2)
    6.87
    """
    if limit.limit is None or limit.rate_per_year is None or not has_life(limit):
        raise ValueError(f"{limit.key} has no limit or rate that a life follows from")
    level = min(max(limit.level or 0.0, 0.0), limit.limit)
    straight = limit.limit / limit.rate_per_year
    if limit.quantity in _COUNTS:
        if level < _FEWEST:
            return straight
        power: float = (limit.limit / level) ** (1.0 / of.exponent)
        return of.exponent * level / limit.rate_per_year * power
    bend = of.curvature
    if abs(bend) < _STRAIGHT:
        return straight
    return straight * exp(bend * level / limit.limit) * -expm1(-bend) / bend
