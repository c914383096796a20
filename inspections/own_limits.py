"""Whether machines can be judged by a criteria set with a contractor's own limits."""

from collections.abc import Mapping

from inspections.engineering import criteria
from inspections.engineering.source import Certainty, Source

_OWN = Source(document="own value", certainty=Certainty.ENTERED)


def refusal_of_set(code: str) -> str:
    """Return why nothing can be judged by a set of this code; "" where it can."""
    try:
        criteria.find(code=code)
    except criteria.UnknownSet as error:
        return str(error)
    return ""


def refusal_of_limits(values: Mapping[str, float]) -> str:
    """Return why own values of limits, by their names, cannot stand; "" where they can.

    The names are the same for every set.
    """
    try:
        criteria.override(criteria_set=criteria.ALL[0], values=values, source=_OWN)
    except (criteria.UnknownLimit, ValueError) as error:
        return str(error)
    return ""
