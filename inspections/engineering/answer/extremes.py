"""The greatest and the least of a margin over everything that is not known."""

from collections.abc import Callable, Iterator, Mapping
from enum import StrEnum
from math import inf, sqrt

from inspections.engineering.answer.axis import Axis
from inspections.engineering.answer.evaluations import Evaluations, Place
from inspections.engineering.validity import OutsideValidity

_GOLDEN = (sqrt(5.0) - 1.0) / 2.0
_SEARCH_PLACES = 8
_SEARCH_STEPS = 14
_MOST_ROUNDS = 6


class Behaviour(StrEnum):
    """How a margin goes with one of the unknowns.

    RISING and FALLING are told; MONOTONE leaves the direction to be found; SEARCH
    allows for a hump or a dip in between. Where it is known at which values a margin
    may turn, a function that returns them stands in place of a behaviour.
    """

    RISING = "RISING"
    FALLING = "FALLING"
    MONOTONE = "MONOTONE"
    SEARCH = "SEARCH"


# Where, the other unknowns being as they are, a margin may turn along one of them.
Turns = Callable[[Mapping[str, float]], tuple[float, ...]]
Told = Mapping[tuple[str, str], Behaviour | Turns]


def extreme(
    *, seen: Evaluations, criterion: str, told: Told, sign: float
) -> tuple[float | None, Place]:
    """Return the greatest or least margin over the box, and where it is.

    Parameters
    ----------
    seen : the evaluations, shared with other criteria
    criterion : the criterion whose margin is wanted
    told : by criterion and unknown, how the margin goes [-]; MONOTONE where nothing is
    sign : 1 for the greatest margin, -1 for the least [-]

    Begun at the corner that each unknown alone points to, the margin is followed one
    unknown at a time until none improves it further: exact where the margin is
    monotone in each of them, whatever the others are. None where the method holds
    nowhere.

    Raises nothing.

    Source: coordinate search; golden section for a hump or dip.

    >>> x = Axis(name="x", low=-1.0, typical=0.5, high=1.0)
    >>> seen = Evaluations(axes=(x,), margins=lambda at: {"a": 1.0 - at["x"] ** 2})
    >>> hump = {("a", "x"): Behaviour.SEARCH}
    >>> extreme(seen=seen, criterion="a", told=hump, sign=1.0)[0]
    1.0000
    """
    return _Search(seen, criterion, told).end(sign)


def both_ends(
    *, seen: Evaluations, criterion: str, told: Told
) -> tuple[tuple[float | None, Place], tuple[float | None, Place]]:
    """Return the least and the greatest margin over the box, and where they are.

    Parameters
    ----------
    seen : the evaluations, shared with other criteria
    criterion : the criterion whose margins are wanted [unit of the limit]
    told : by criterion and unknown, how the margin goes [-]; MONOTONE where nothing is

    What `extreme` returns for both signs.

    Raises nothing.

    Source: as extreme.

    >>> x = Axis(name="x", low=-1.0, typical=0.5, high=1.0)
    >>> seen = Evaluations(axes=(x,), margins=lambda at: {"a": 2.0 * at["x"]})
    >>> both_ends(seen=seen, criterion="a", told={})
    ((-2.0, (-1.0,)), (2.0, (1.0,)))
    """
    search = _Search(seen, criterion, told)
    return search.end(-1.0), search.end(1.0)


class _Search:
    """The search for the ends of one margin, with what both of them begin with."""

    def __init__(self, seen: Evaluations, criterion: str, told: Told) -> None:
        self._seen, self._criterion = seen, criterion
        self._behaviours = [
            told.get((criterion, axis.name), Behaviour.MONOTONE)
            for _, axis, _, _ in seen.unknown
        ]
        # At the typical place and both ends of each unknown whose way is not told.
        self._stars: list[tuple[float | None, float | None, float | None] | None] = []
        self._turning: list[tuple[int, Behaviour | Turns]] = []
        for number, behaviour in enumerate(self._behaviours):
            if behaviour is Behaviour.RISING or behaviour is Behaviour.FALLING:
                self._stars.append(None)
                continue
            typical = seen.at(place=seen.typical)
            low, high = seen.star(number)
            star = typical.get(criterion), low.get(criterion), high.get(criterion)
            self._stars.append(star)
            self._turning.append((seen.unknown[number][0], behaviour))

    def end(self, sign: float) -> tuple[float | None, Place]:
        at, criterion = self._seen.at, self._criterion

        def score(place: Place) -> float:
            margin = at(place=place).get(criterion)
            return -inf if margin is None else sign * margin

        place = self._likely(sign)
        best = score(place)
        for _ in range(_MOST_ROUNDS):
            before = best
            for index, behaviour in self._turning:
                head, tail = place[:index], place[index + 1 :]
                for other in _along(self._seen, place, index, behaviour, score):
                    if other == place[index]:
                        continue
                    tried = (*head, other, *tail)
                    margin = at(place=tried).get(criterion)
                    if margin is not None and sign * margin > best:
                        best, place = sign * margin, tried
            if best <= before:
                break
        return (None if best == -inf else sign * best), place

    def _likely(self, sign: float) -> Place:
        """Return the corner at which the margin is, going by each unknown alone."""
        place = list(self._seen.typical)
        for (index, axis, _, _), behaviour, star in zip(
            self._seen.unknown, self._behaviours, self._stars, strict=True
        ):
            if star is None:
                rises = (behaviour is Behaviour.RISING) == (sign > 0.0)
                place[index] = axis.high if rises else axis.low
                continue
            best, low, high = [
                -inf if margin is None else sign * margin for margin in star
            ]
            if high > best and high > low:
                place[index] = axis.high
            elif low > best:
                place[index] = axis.low
        return tuple(place)


def _along(
    seen: Evaluations,
    place: Place,
    index: int,
    behaviour: Behaviour | Turns,
    score: Callable[[Place], float],
) -> Iterator[float]:
    """Yield the values of one unknown at which the margin may be greater."""
    axis = seen.axes[index]
    yield axis.low
    yield axis.high
    if behaviour is Behaviour.MONOTONE:
        return
    if behaviour is Behaviour.SEARCH:
        head, tail = place[:index], place[index + 1 :]
        yield _peak(axis, lambda value: score((*head, value, *tail)))
    elif not isinstance(behaviour, Behaviour):
        yield from turning_values(
            axis=axis, turns=behaviour, at=seen.named(place=place)
        )


def turning_values(
    *, axis: Axis, turns: Turns, at: Mapping[str, float]
) -> tuple[float, ...]:
    """Return where a margin may turn along one unknown, inside its range.

    Parameters
    ----------
    axis : the unknown
    turns : returns the values at which a margin may turn [unit of the unknown]
    at : all unknowns as they are [each in its own unit]

    Raises nothing; a place where the method does not hold has none.

    Source: own bookkeeping.

    >>> x = Axis(name="x", low=0.0, typical=0.5, high=1.0)
    >>> turning_values(axis=x, turns=lambda at: (0.25, 7.0), at={"x": 0.5})
    (0.25,)
    """
    try:
        values = turns(at)
    except OutsideValidity:
        return ()
    return tuple(value for value in values if axis.low < value < axis.high)


def _peak(axis: Axis, score: Callable[[float], float]) -> float:
    """Return the greatest of evenly laid places, refined between its neighbours."""
    width = (axis.high - axis.low) / _SEARCH_PLACES
    laid = [axis.low + width * step for step in range(_SEARCH_PLACES + 1)]
    top = max(laid, key=score)
    low, high = max(top - width, axis.low), min(top + width, axis.high)
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    for _ in range(_SEARCH_STEPS):
        if score(left) < score(right):
            low, left = left, right
            right = low + _GOLDEN * (high - low)
        else:
            high, right = right, left
            left = high - _GOLDEN * (high - low)
    return max((left, right, top), key=score)
