"""Whether friction enough to hold is always too much to let the ropes slip."""

from collections.abc import Mapping

from inspections.engineering.answer import Answer, Axis, Behaviour, answer_jointly
from inspections.engineering.answer.evaluations import (
    Evaluations,
    Margins,
)
from inspections.engineering.answer.extremes import (
    extreme,
)
from inspections.engineering.traction.rules import LoadCase
from inspections.engineering.traction_answer.asked import AskedFriction
from inspections.engineering.traction_answer.given import (
    GREATEST,
    WORN,
    GivenFriction,
)

# The friction factor times the wrap, in place of groove, seat and wrap.
_HELD = "held"
_OVER_WORN = "greatest over worn"
# The least ratio is found by search: so much less is taken.
_SLACK = 0.99


def never_together(
    *,
    asked: AskedFriction,
    given: GivenFriction,
    friction: Mapping[LoadCase, float],
    wrap_ratios: tuple[float, ...],
) -> bool:
    """Return whether no masses, groove and wrap let all load cases close.

    Parameters
    ----------
    asked : what the masses ask of friction
    given : what the groove gives
    friction : μ [-] of every case that must close
    wrap_ratios : ends of the wrap over the whole wrap as registered [-]

    Groove, seat and wrap count by one number, the worn Σ(f/μ)·α, and by the least that
    the greatest friction between new and worn exceeds it. That allows for more than
    there is, so True is sure; False says nothing.

    Raises nothing.

    Source: derived; branch and bound over the masses, which are monotone at each place
    of the car.

    >>> from math import radians
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import VGroove
    >>> from inspections.engineering.traction import EN_81_50
    >>> asked = AskedFriction(suspension=EXAMPLE_MACHINE, rules=EN_81_50, axes=())
    >>> given = GivenFriction(suspension=EXAMPLE_MACHINE, seat_depths_mm=(0.0,),
    ...     groove=VGroove(groove_angle_rad=radians(38)), axes=())
    >>> never_together(asked=asked, given=given, wrap_ratios=(1.0,),
    ...     friction={LoadCase.LOADING: 0.1})
    False
    """
    held = _held_rad(given, wrap_ratios)
    more = _least_ratio(given)
    if held is None or more is None:
        return False
    names = {
        f"{case.value}@{name}": (case, name)
        for case in friction
        for name in asked.one_sided(case=case)
    }
    if not names:
        # Car and counterweight may change over everywhere.
        return False
    margins = _margins(asked, friction, names=names, more=more)
    joint = answer_jointly(
        seen=Evaluations(axes=(*asked.axes, held), margins=margins),
        criteria=tuple(names),
        told=dict,
        single=(Answer.OPEN,) * len(names),
    )
    return joint.answer is Answer.BEYOND


def _margins(
    asked: AskedFriction,
    friction: Mapping[LoadCase, float],
    *,
    names: Mapping[str, tuple[LoadCase, str]],
    more: float,
) -> Margins:
    """Return what tells the margin of each case at a place of the axes."""

    def margins(at: Mapping[str, float]) -> dict[str, float]:
        place = tuple(at[axis.name] for axis in asked.axes)
        found = {}
        for key, (case, name) in names.items():
            value = asked.at_one(case=case, name=name, place=place)
            if value is None:
                continue
            friction_rad = friction[case] * at[_HELD]
            if case.is_stalled:
                found[key] = value / (friction_rad * more) - 1.0
            else:
                found[key] = 1.0 - value / friction_rad
        return found

    return margins


def _held_rad(given: GivenFriction, wrap_ratios: tuple[float, ...]) -> Axis | None:
    """The worn Σ(f/μ)·α over everything that is not known [rad]."""
    ends = [value for value, _ in given.ends(kind=WORN)]
    found = [value * ratio for value in ends for ratio in wrap_ratios]
    if not found or min(found) <= 0.0:
        return None
    return Axis(name=_HELD, low=min(found), typical=max(found), high=max(found))


def _least_ratio(given: GivenFriction) -> float | None:
    """The least that greatest friction exceeds the worn [-], at least 1."""

    def ratio(at: Mapping[str, float]) -> dict[str, float]:
        known = given.seen.at(place=tuple(at[axis.name] for axis in given.axes))
        return {_OVER_WORN: known[GREATEST] / known[WORN]} if known else {}

    told = {(_OVER_WORN, axis.name): Behaviour.SEARCH for axis in given.axes}
    least, _ = extreme(
        seen=Evaluations(axes=given.axes, margins=ratio),
        criterion=_OVER_WORN,
        told=told,
        sign=-1.0,
    )
    return None if least is None else max(_SLACK * least, 1.0)
