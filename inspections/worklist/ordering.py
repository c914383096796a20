"""What comes into a visit, and in which order: pure, no rows and no clock."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum


class Why(IntEnum):
    """Why something is due, the most pressing first."""

    UNCONFIRMED = 0
    HELD = 1
    OPEN = 2
    FORECAST_DUE = 3
    CHECK_MISSED = 4
    NOT_ASSESSED = 5
    FORECAST_THIN = 6
    NEVER_READ = 7
    INTERVAL_OVER = 8
    BASELINE = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """Readings taken in one go; `position` is their place in the order of doing.

    `reasons` are those of all its readings, one each or more; `worth` is the greatest
    chance of beyond times consequence that they may decide, 0 to 1. Of two that are
    worth the same for the same reason the one with the lower `weight` matters more.
    """

    code: str
    minutes: int
    position: int
    weight: int = 0
    worth: float = 0.0
    reasons: tuple[Why, ...]

    @property
    def must(self) -> bool:
        """Whether it is done whatever the time: something acts as if true."""
        return Why.UNCONFIRMED in self.reasons

    @property
    def pressing(self) -> tuple[int, float, int, int, int]:
        """The lower, the more pressing: what waits for a word, then what it decides.

        Of what decides the same the best reason, then weight, then the order.
        """
        best = min(self.reasons)
        waits = min(best, Why.OPEN)
        return (waits, -self.worth, best, self.weight, self.position)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What is done, in the order of doing; what is left, the most pressing first."""

    done: tuple[Candidate, ...]
    left: tuple[Candidate, ...]

    @property
    def minutes(self) -> int:
        return sum(candidate.minutes for candidate in self.done)


def choose(candidates: Iterable[Candidate], *, minutes: int) -> Chosen:
    """Return what fits into the time, the most pressing first.

    A step that does not fit makes room for a less pressing one that does. What must
    be done is done although it does not fit.

    >>> found = choose(
    ...     [
    ...         Candidate(code="a", minutes=8, position=1, reasons=(Why.NEVER_READ,)),
    ...         Candidate(code="b", minutes=5, position=0, reasons=(Why.HELD,)),
    ...         Candidate(code="c", minutes=3, position=2, reasons=(Why.BASELINE,)),
    ...     ],
    ...     minutes=10,
    ... )
    >>> [c.code for c in found.done], [c.code for c in found.left], found.minutes
    (['b', 'c'], ['a'], 8)
    """
    due = [candidate for candidate in candidates if candidate.reasons]
    done: list[Candidate] = [candidate for candidate in due if candidate.must]
    left: list[Candidate] = []
    room = minutes - sum(candidate.minutes for candidate in done)
    for candidate in sorted(due, key=lambda each: each.pressing):
        if candidate.must:
            continue
        if candidate.minutes <= room:
            done.append(candidate)
            room -= candidate.minutes
        else:
            left.append(candidate)
    return Chosen(done=_in_order(done), left=tuple(left))


def _in_order(candidates: Sequence[Candidate]) -> tuple[Candidate, ...]:
    return tuple(sorted(candidates, key=lambda each: each.position))
