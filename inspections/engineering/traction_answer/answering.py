"""The three answers of every load case of one groove."""

from dataclasses import dataclass

from inspections.engineering.answer import Axis, Joint, OverBox
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.traction.rules import TractionRules
from inspections.engineering.traction_answer.asked import AskedFriction
from inspections.engineering.traction_answer.corners import GrooveCorners
from inspections.engineering.traction_answer.given import GivenFriction
from inspections.engineering.traction_answer.whole import WholeAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class TractionAnswers:
    """Every load case of one groove over what is not known, and all together.

    Parameters
    ----------
    cases : one for each load case of the code, by its name; for a stalled case a
        second one, its name with _BEDDED, where the rope is thinner than its seat
    joint : whether any value of what is not known lets all load cases close that
        must; the stalled cases of a drive that itself stalls need not
    joint_of : the names of the cases that must

    Raises nothing; answer_traction makes it.

    Source: own definition.

    >>> from dataclasses import fields
    >>> [item.name for item in fields(TractionAnswers)]
    ['cases', 'joint', 'joint_of']
    """

    cases: tuple[OverBox, ...]
    joint: Joint
    joint_of: tuple[str, ...]


def answer_traction(
    *,
    suspension: Suspension,
    groove: TurnedGroove,
    seat_depths_mm: tuple[float, ...],
    rules: TractionRules,
    axes: tuple[Axis, ...],
    asked: AskedFriction | None = None,
    corners: GrooveCorners | None = None,
    bedding_counts: bool = True,
) -> TractionAnswers:
    """Return the answer of every load case over what is not known of a machine.

    Parameters
    ----------
    suspension : masses and run of the ropes, what is not known at its typical value
    groove : the groove as turned, likewise
    seat_depths_mm : s of the groove of each pass [mm], >= 0
    rules : the code's values
    axes : what is not known, each by the name of its field, "wrap_angle_rad" for the
        whole wrap [rad] and "seat_depth_mm" for the deepest seat [mm]; an axis that
        does not exist on this machine is left out of account
    asked : what the masses ask, where it was worked out already for another groove
        of the same machine with the same axes
    corners : the groove at its ends, where another seat of the same cut asked for them
    bedding_counts : whether what a seat gains as it beds in makes a case better; if
        not, typical and worst margin of all but the stalled cases take the least
        friction between new and worn, so that no deeper seat is ever better

    A margin is 1 - ln(T1/T2)/(μ·Σ(f/μ)·α), so what masses ask and what the groove
    gives are looked through apart and put together at their ends. The stalled cases
    are judged at the greatest friction between new and worn.

    Raises nothing of its own.

    Source: EN 81-50:2014 5.11.2 with the worn seat's factor; intervals derived.

    >>> from math import radians
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import VGroove
    >>> from inspections.engineering.traction import EN_81_50
    >>> found = answer_traction(suspension=EXAMPLE_MACHINE, rules=EN_81_50,
    ...     groove=VGroove(groove_angle_rad=radians(38)), seat_depths_mm=(2.5,),
    ...     axes=(Axis(name="car_mass_kg", low=1080, typical=1200, high=1320),))
    >>> [(each.criterion, each.answer.value) for each in found.cases][:3]
    [('LOADING', 'WITHIN'), ('BRAKING_FULL', 'WITHIN'), ('BRAKING_EMPTY', 'OPEN')]
    """
    if asked is None:
        asked = AskedFriction(suspension=suspension, rules=rules, axes=axes)
    given = GivenFriction(
        suspension=suspension,
        groove=groove,
        seat_depths_mm=seat_depths_mm,
        axes=axes,
        corners=corners,
    )
    whole = WholeAnswer(suspension, rules, asked, given, axes, bedding_counts)
    return _each_and_jointly(whole, rules)


def _each_and_jointly(whole: WholeAnswer, rules: TractionRules) -> TractionAnswers:
    cases = tuple(
        whole.answer(case, kind) for case in rules.cases for kind in whole.kinds(case)
    )
    return TractionAnswers(
        cases=cases,
        joint=whole.joint(cases),
        joint_of=tuple(case.value for case in whole.must_close()),
    )
