"""Criteria judged over everything that is not known, sharing what they evaluate."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from inspections.engineering.answer.axis import Axis
from inspections.engineering.answer.chance import Move, chance_beyond, variances
from inspections.engineering.answer.evaluations import (
    Evaluations,
    Margins,
    Place,
)
from inspections.engineering.answer.extremes import (
    Told,
    both_ends,
)
from inspections.engineering.answer.three import Answer, answer_of
from inspections.records import made_by_slots


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class OverBox:
    """One criterion over everything that is not known.

    Parameters
    ----------
    criterion : the criterion
    answer : beyond or within whatever is not known, else open
    typical_margin : margin with everything typical, positive is good [unit of the
        limit]; None where the method does not hold there
    worst_margin : least margin there can be [unit of the limit]; None where the
        method holds nowhere
    best_margin : greatest margin there can be [unit of the limit]
    worst_at : (unknown, value [its own unit]) at the least margin
    best_at : (unknown, value [its own unit]) at the greatest margin
    holds_throughout : whether the method held at every place that was looked at
    chance_beyond : chance of a negative margin by a simple distribution [-]
    decides_most : the unknown whose measurement would settle most; "" where nothing
        is unknown or nothing moves the margin

    Raises nothing; judge_over makes it.

    Source: own definition; see judge_over.

    >>> from dataclasses import fields
    >>> fields(OverBox)[1].name
    'answer'
    """

    criterion: str
    answer: Answer
    typical_margin: float | None
    worst_margin: float | None
    best_margin: float | None
    worst_at: tuple[tuple[str, float], ...]
    best_at: tuple[tuple[str, float], ...]
    holds_throughout: bool
    chance_beyond: float
    decides_most: str


def judge_over(
    *,
    axes: tuple[Axis, ...],
    margins: Margins,
    criteria: tuple[str, ...],
    told: Told | None = None,
    seen: Evaluations | None = None,
) -> tuple[OverBox, ...]:
    """Return the answer of every criterion over everything that is not known.

    Parameters
    ----------
    axes : what is not known, each in its own unit; those known exactly cost nothing
    margins : returns the margins of all criteria at one place [units of the limits];
        it may raise OutsideValidity where the method does not hold
    criteria : the criteria to judge
    told : by criterion and unknown, how the margin goes [-]; what is not told is taken
        as monotone and its direction found
    seen : evaluations already made of the same box, to be shared

    Cost: one evaluation where nothing is unknown; else 1 + 2n for n unknowns and
    about n more for each end of each criterion, less what they share. A place where
    the method does not hold never counts as good: such a criterion is open.

    Raises nothing of its own.

    Source: own definition; interval answers with a search where not monotone.

    >>> mass = Axis(name="car_mass_kg", low=900.0, typical=1000.0, high=1100.0)
    >>> found = judge_over(axes=(mass,), criteria=("lift",),
    ...     margins=lambda at: {"lift": at["car_mass_kg"] / 950.0 - 1.0})[0]
    >>> found.answer, found.decides_most, round(found.chance_beyond, 3)
    (<Answer.OPEN: 'OPEN'>, 'car_mass_kg', 0.125)
    """
    seen = Evaluations(axes=axes, margins=margins) if seen is None else seen
    return tuple(_judge(seen, criterion, told or {}) for criterion in criteria)


def _judge(seen: Evaluations, criterion: str, told: Told) -> OverBox:
    typical = seen.margin(place=seen.typical, criterion=criterion)
    worst, worst_at = typical, seen.typical
    best, best_at = typical, seen.typical
    moves: Sequence[Move] = ()
    if any(not axis.is_known for axis in seen.axes):
        moves = _moves(seen, criterion, typical)
        (worst, worst_at), (best, best_at) = both_ends(
            seen=seen, criterion=criterion, told=told
        )
    return from_ends(
        criterion=criterion,
        unknown=Unknown(seen.axes),
        typical_margin=typical,
        worst=(worst, worst_at),
        best=(best, best_at),
        moves=moves,
        holds_throughout=all(
            criterion in seen.at(place=place) for place in seen.places()
        ),
    )


End = tuple[float | None, Place]


class Unknown:
    """What is not known, by name and by what a measurement would settle.

    Parameters
    ----------
    axes : what is not known, each in its own unit

    Raises nothing.

    Source: own bookkeeping.

    >>> Unknown((Axis(name="x", low=0.0, typical=0.5, high=1.0),)).named((0.5,))
    (('x', 0.5),)
    """

    def __init__(self, axes: tuple[Axis, ...]) -> None:
        self._names = [axis.name for axis in axes]
        self.settled_by = {axis.name: axis.settled_by for axis in axes}

    def named(self, place: Place) -> tuple[tuple[str, float], ...]:
        """Return a place with the name of each value [in its own unit]."""
        return tuple(zip(self._names, place, strict=True))


def from_ends(
    *,
    criterion: str,
    unknown: Unknown,
    typical_margin: float | None,
    worst: End,
    best: End,
    moves: Sequence[Move],
    holds_throughout: bool,
) -> OverBox:
    """Return the answer of one criterion from its ends, however they were come by.

    Parameters
    ----------
    criterion : the criterion
    unknown : what is not known
    typical_margin : margin with everything typical [unit of the limit], None if none
    worst : least margin [unit of the limit] and its place
    best : greatest margin [unit of the limit] and its place
    moves : what each unknown alone does to the margin
    holds_throughout : whether the method held everywhere

    Raises OutsideValidity for ends that are the wrong way round.

    Source: own definition; see judge_over.

    >>> from_ends(criterion="a", unknown=Unknown(()), typical_margin=0.1,
    ...     worst=(0.1, ()), best=(0.1, ()), moves=(), holds_throughout=True).answer
    <Answer.WITHIN: 'WITHIN'>
    """
    answer = answer_of(worst_margin=worst[0], best_margin=best[0])
    return OverBox(
        criterion=criterion,
        answer=answer if holds_throughout else Answer.OPEN,
        typical_margin=typical_margin,
        worst_margin=worst[0],
        best_margin=best[0],
        worst_at=unknown.named(worst[1]),
        best_at=unknown.named(best[1]),
        holds_throughout=holds_throughout,
        chance_beyond=_chance(answer, typical_margin, worst[0], moves),
        decides_most=_decides(unknown.settled_by, moves),
    )


def _moves(
    seen: Evaluations, criterion: str, typical: float | None
) -> tuple[Move, ...]:
    """What each unknown alone does to the margin from the typical place."""
    if typical is None:
        return ()
    found = []
    for index, axis in enumerate(seen.axes):
        if axis.is_known:
            continue
        ends = []
        for value in (axis.low, axis.high):
            place = (*seen.typical[:index], value, *seen.typical[index + 1 :])
            margin = seen.margin(place=place, criterion=criterion)
            ends.append(0.0 if margin is None else margin - typical)
        share = (axis.typical - axis.low) / (axis.high - axis.low)
        found.append(
            Move(name=axis.name, at_low=ends[0], at_high=ends[1], low_share=share)
        )
    return tuple(found)


def _chance(
    answer: Answer,
    typical: float | None,
    worst: float | None,
    moves: Sequence[Move],
) -> float:
    if typical is None or worst is None:
        return 1.0  # It cannot be computed: never ranked as harmless.
    if answer is not Answer.OPEN:
        return 1.0 if answer is Answer.BEYOND else 0.0
    return chance_beyond(typical_margin=typical, moves=moves)


def _decides(groups: Mapping[str, str], moves: Sequence[Move]) -> str:
    """The group, or unknown by itself, that brings the greatest spread."""
    spread: dict[str, float] = {}
    for move, variance in zip(moves, variances(moves=moves), strict=True):
        name = groups[move[0]]
        spread[name] = spread.get(name, 0.0) + (variance if variance > 0.0 else 0.0)
    widest = max(spread, key=spread.__getitem__, default="")
    return widest if widest and sqrt(spread[widest]) > 0.0 else ""
