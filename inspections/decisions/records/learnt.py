"""What the fleet has taught of how parts wear that are yet to come."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassLearnt:
    """One class of wear, as the fleet showed it. None is "not found out yet".

    curvature : of a worn length, logarithm of its rate at the limit over that as new
    exponent : of a count, which grows as a power of the time
    rate_spread, machines : spread of the logarithm of a new part's rate, and the
        machines that tell it
    within, pairs : correlation of what forecasts of one machine missed, by so many
        pairs of places
    between, periods : correlation of machines of the class, by so many half-years
    """

    curvature: float = 0.0
    exponent: float = 1.0
    rate_spread: float | None = None
    machines: int = 0
    within: float | None = None
    pairs: int = 0
    between: float | None = None
    periods: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """What was learnt of each class by its name; a class not in it is by the rule."""

    classes: Mapping[str, ClassLearnt] = field(default_factory=dict)

    def of(self, name: str) -> ClassLearnt:
        """Return what was learnt of a class."""
        return self.classes.get(name, ClassLearnt())


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassTaken:
    """What a class is followed with, and what that rests on.

    rate_spread, on_machine, in_class : as taken, between the rule and what was found
    machines, pairs, periods : that they rest on; 0 is the rule alone
    """

    name: str
    rate_spread: float
    on_machine: float
    in_class: float
    machines: int
    pairs: int
    periods: int
