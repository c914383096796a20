"""The greatest and the least of a margin over everything that is not known."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import StrEnum
from math import inf, sqrt

from inspections.engineering.answer.axis import Axis
from inspections.engineering.validity import OutsideValidity

Place = tuple[float, ...]
# An unknown, and what a margin is at its low and its high end.
Moved = list[tuple[Axis, tuple[float | None, float | None]]]
Margins = Callable[[Mapping[str, float]], Mapping[str, float]]

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


_ONE_WAY = (Behaviour.RISING, Behaviour.FALLING)


class Evaluations:
    """The margins of all criteria at places of the box, each worked out once.

    Parameters
    ----------
    axes : what is not known, each in its own unit
    margins : margins of all criteria at one place [units of the limits]

    A place at which the method does not hold has no margins.

    Raises nothing of its own.

    Source: own bookkeeping.

    >>> half = Axis(name="x", low=0.0, typical=0.5, high=1.0)
    >>> seen = Evaluations(axes=(half,), margins=lambda at: {"a": at["x"] - 0.2})
    >>> seen.at(place=(1.0,))["a"], seen.count
    (0.8, 1)
    """

    def __init__(self, *, axes: tuple[Axis, ...], margins: Margins) -> None:
        self.axes = axes
        self._names = tuple(axis.name for axis in axes)
        self.typical: Place = tuple(axis.typical for axis in axes)
        self._margins = margins
        self._seen: dict[Place, Mapping[str, float]] = {}
        self.holds = True
        # Each unknown by its index, and the places at its ends, the others typical.
        self.unknown: tuple[tuple[int, Axis, Place, Place], ...] = tuple(
            (
                index,
                axis,
                _put(self.typical, index, axis.low),
                _put(self.typical, index, axis.high),
            )
            for index, axis in enumerate(axes)
            if not axis.is_known
        )

    @property
    def count(self) -> int:
        """How many places were worked out."""
        return len(self._seen)

    def places(self) -> tuple[Place, ...]:
        """Return every place that was worked out, in the order it was."""
        return tuple(self._seen)

    def named(self, *, place: Place) -> dict[str, float]:
        """Return a place as a value for each unknown [each in its own unit]."""
        return dict(zip(self._names, place, strict=True))

    def at(self, *, place: Place) -> Mapping[str, float]:
        """Return the margins at a place; none where the method does not hold."""
        known = self._seen.get(place)
        if known is None:
            try:
                known = self._margins(self.named(place=place))
            except OutsideValidity:
                known = {}
            self._seen[place] = known
            if not known:
                # The method did not hold at some place that was tried.
                self.holds = False
        return known

    def moves(self, *, criterion: str) -> Moved:
        """Return one margin at both ends of each unknown, the others as typical."""
        return [
            (
                axis,
                (
                    self.margin(place=low, criterion=criterion),
                    self.margin(place=high, criterion=criterion),
                ),
            )
            for _, axis, low, high in self.unknown
        ]

    def margin(self, *, place: Place, criterion: str) -> float | None:
        """Return one margin at a place, None where the method does not hold."""
        known = self._seen.get(place)
        if known is None:
            known = self.at(place=place)
        return known.get(criterion)


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
    score = _scores(seen, criterion, sign)
    behaviours = [
        told.get((criterion, axis.name), Behaviour.MONOTONE)
        for _, axis, _, _ in seen.unknown
    ]
    place = _likely(seen, behaviours, score, sign)
    best = score(place)
    turning = [
        (index, behaviour)
        for (index, *_), behaviour in zip(seen.unknown, behaviours, strict=True)
        if behaviour not in _ONE_WAY
    ]
    for _ in range(_MOST_ROUNDS):
        before = best
        for index, behaviour in turning:
            head, tail = place[:index], place[index + 1 :]
            for other in _along(seen, place, index, behaviour, score):
                if other == place[index]:
                    continue
                tried = (*head, other, *tail)
                found = score(tried)
                if found > best:
                    best, place = found, tried
        if best <= before:
            break
    return (None if best == -inf else sign * best), place


def _scores(seen: Evaluations, criterion: str, sign: float) -> Callable[[Place], float]:
    """Return what tells how good a place is, the greater the better."""
    at = seen.at

    def score(place: Place) -> float:
        margin = at(place=place).get(criterion)
        return -inf if margin is None else sign * margin

    return score


def _put(place: Place, index: int, value: float) -> Place:
    return (*place[:index], value, *place[index + 1 :])


def _likely(
    seen: Evaluations,
    behaviours: Sequence[Behaviour | Turns],
    score: Callable[[Place], float],
    sign: float,
) -> Place:
    """Return the corner at which the margin is, going by each unknown alone."""
    place = list(seen.typical)
    for (index, axis, at_low, at_high), behaviour in zip(
        seen.unknown, behaviours, strict=True
    ):
        if behaviour in _ONE_WAY:
            rises = (behaviour is Behaviour.RISING) == (sign > 0.0)
            place[index] = axis.high if rises else axis.low
            continue
        best, low, high = score(seen.typical), score(at_low), score(at_high)
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
    if behaviour is Behaviour.SEARCH:
        yield _peak(axis, lambda value: score(_put(place, index, value)))
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
