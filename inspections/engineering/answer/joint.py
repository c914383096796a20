"""Several criteria together: is there any value at which all of them hold?"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf

from inspections.engineering.answer.axis import Axis
from inspections.engineering.answer.evaluations import (
    Evaluations,
    Place,
)
from inspections.engineering.answer.extremes import (
    Behaviour,
    Told,
)
from inspections.engineering.answer.three import Answer

MOST_PLACES = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Several criteria over what is not known, answered together.

    Parameters
    ----------
    answer : WITHIN where all hold throughout, BEYOND where no place lets all of them
        hold, else OPEN
    least_margin : the greatest that the least of the margins came to [units of the
        limits]; None where the method held nowhere
    at : (unknown, value [its own unit]) there

    Raises nothing; answer_jointly makes it.

    Source: own definition; each criterion alone may be open although together none
    of the values will do.

    >>> Joint(answer=Answer.BEYOND, least_margin=-0.1, at=()).answer
    <Answer.BEYOND: 'BEYOND'>
    """

    answer: Answer
    least_margin: float | None
    at: tuple[tuple[str, float], ...]


Box = tuple[tuple[float, float], ...]


def answer_jointly(
    *,
    seen: Evaluations,
    criteria: tuple[str, ...],
    told: Callable[[], Told],
    single: tuple[Answer, ...],
) -> Joint:
    """Return whether any value of what is not known lets all criteria hold.

    Parameters
    ----------
    seen : the evaluations the single answers were made from
    criteria : the criteria, one or more
    told : returns, by criterion and unknown, how the margin goes [-]; what is not
        monotone is bounded by the ends and the middle of each part
    single : the answers of the criteria by themselves

    The box is divided along its widest disagreement; a part is set aside where some
    criterion is beyond at its own best corner. BEYOND is said only when no part is
    left; when the places run out, the answer stays open.

    Raises nothing.

    Source: own definition; branch and bound with monotone bounds.

    >>> x = Axis(name="x", low=0.0, typical=0.5, high=1.0)
    >>> seen = Evaluations(axes=(x,), margins=lambda at: {
    ...     "high": at["x"] - 0.7, "low": 0.3 - at["x"]})
    >>> answer_jointly(seen=seen, criteria=("high", "low"), told=dict,
    ...                single=(Answer.OPEN, Answer.OPEN)).answer
    <Answer.BEYOND: 'BEYOND'>
    """
    least, place = _closest(seen, criteria)
    answer = _decided(single, least)
    if answer is None:
        answer = _by_parts(seen, criteria, told())
        least, place = _closest(seen, criteria)
    names = (axis.name for axis in seen.axes)
    return Joint(
        answer=answer,
        least_margin=None if least == -inf else least,
        at=tuple(zip(names, place, strict=True)),
    )


def _decided(single: tuple[Answer, ...], least: float) -> Answer | None:
    if Answer.BEYOND in single:
        return Answer.BEYOND
    if all(each is Answer.WITHIN for each in single):
        return Answer.WITHIN
    if least >= 0.0:
        return Answer.OPEN
    return None


def _closest(seen: Evaluations, criteria: tuple[str, ...]) -> tuple[float, Place]:
    """The place, of those worked out, at which the least margin is greatest."""
    places = seen.places() or (seen.typical,)
    return max((_least(seen, criteria, place), place) for place in places)


def _least(seen: Evaluations, criteria: tuple[str, ...], place: Place) -> float:
    margins = seen.at(place=place)
    return min(margins.get(criterion, -inf) for criterion in criteria)


def _by_parts(seen: Evaluations, criteria: tuple[str, ...], told: Told) -> Answer:
    weights = tuple(_pull(seen, criteria, told, i) for i in range(len(seen.axes)))
    parts: list[Box] = [
        tuple(
            _range(axis, *weight)
            for axis, weight in zip(seen.axes, weights, strict=True)
        )
    ]
    end = seen.count + MOST_PLACES
    while parts:
        part = parts.pop()
        middle = tuple((low + high) / 2.0 for low, high in part)
        if _least(seen, criteria, middle) >= 0.0 or seen.count > end:
            return Answer.OPEN
        if not _all_possible(seen, criteria, told, part):
            continue
        index = _widest(seen.axes, weights, part)
        if index is None:
            return Answer.OPEN
        low, high = part[index]
        half = (low + high) / 2.0
        parts += [
            (*part[:index], (low, half), *part[index + 1 :]),
            (*part[:index], (half, high), *part[index + 1 :]),
        ]
    return Answer.BEYOND


def _pull(
    seen: Evaluations, criteria: tuple[str, ...], told: Told, index: int
) -> tuple[float, float]:
    """Return how far one unknown pulls the margins down, and how far up."""
    axis, down, up = seen.axes[index], 0.0, 0.0
    for criterion in criteria:
        if not _is_monotone(told, criterion, axis):
            down, up = max(down, 1.0), max(up, 1.0)
            continue
        ends = [
            seen.margin(
                place=(*seen.typical[:index], value, *seen.typical[index + 1 :]),
                criterion=criterion,
            )
            for value in (axis.low, axis.high)
        ]
        if ends[0] is None or ends[1] is None:
            down, up = max(down, 1.0), max(up, 1.0)
            continue
        down, up = max(down, ends[0] - ends[1]), max(up, ends[1] - ends[0])
    return down, up


def _is_monotone(told: Told, criterion: str, axis: Axis) -> bool:
    behaviour = told.get((criterion, axis.name), Behaviour.MONOTONE)
    return isinstance(behaviour, Behaviour) and behaviour is not Behaviour.SEARCH


def _range(axis: Axis, down: float, up: float) -> tuple[float, float]:
    """The range to be divided: one end alone where all criteria want that end."""
    if down == 0.0:
        return axis.high, axis.high
    return (axis.low, axis.low) if up == 0.0 else (axis.low, axis.high)


def _all_possible(
    seen: Evaluations, criteria: tuple[str, ...], told: Told, part: Box
) -> bool:
    """Whether every criterion may still hold somewhere in a part."""
    middle = tuple((low + high) / 2.0 for low, high in part)
    for criterion in criteria:
        place = middle
        for index, axis in enumerate(seen.axes):
            low, high = part[index]
            values = [low, high]
            if not _is_monotone(told, criterion, axis):
                values.append(middle[index])
            place = max(
                ((*place[:index], value, *place[index + 1 :]) for value in values),
                key=lambda tried: _of(seen.at(place=tried), criterion),
            )
        if _of(seen.at(place=place), criterion) < 0.0:
            return False
    return True


def _of(margins: Mapping[str, float], criterion: str) -> float:
    # Where the method does not hold nothing can be ruled out.
    return margins.get(criterion, inf)


def _widest(
    axes: tuple[Axis, ...], weights: tuple[tuple[float, float], ...], part: Box
) -> int | None:
    """The unknown over which, in a part, the criteria pull apart most."""
    left = [
        0.0 if axis.is_known else min(weight) * (high - low) / (axis.high - axis.low)
        for axis, weight, (low, high) in zip(axes, weights, part, strict=True)
    ]
    widest = max(range(len(left)), key=lambda index: left[index], default=None)
    return None if widest is None or left[widest] == 0.0 else widest
