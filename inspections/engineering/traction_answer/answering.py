"""The three answers of every load case of one groove."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from inspections.engineering.answer import (
    Answer,
    Axis,
    Joint,
    OverBox,
    answer_jointly,
)
from inspections.engineering.answer.chance import Move
from inspections.engineering.answer.extremes import (
    Behaviour,
    Evaluations,
    Place,
    Told,
)
from inspections.engineering.answer.over_box import from_ends
from inspections.engineering.groove.shape import Groove
from inspections.engineering.machine import Suspension
from inspections.engineering.traction.rules import (
    LoadCase,
    TractionRules,
    friction_coefficient,
)
from inspections.engineering.traction_answer.asked import AskedFriction, End
from inspections.engineering.traction_answer.corners import GrooveCorners
from inspections.engineering.traction_answer.given import (
    BEDDED_IN,
    GREATEST,
    WORN,
    WRAP,
    GivenFriction,
)
from inspections.engineering.traction_answer.never import never_together

BEDDED = "_BEDDED"


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
    groove: Groove,
    seat_depths_mm: tuple[float, ...],
    rules: TractionRules,
    axes: tuple[Axis, ...],
    asked: AskedFriction | None = None,
    corners: GrooveCorners | None = None,
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
    whole = _Whole(suspension, rules, asked, given, axes)
    cases = tuple(
        whole.answer(case, kind) for case in rules.cases for kind in whole.kinds(case)
    )
    return TractionAnswers(
        cases=cases,
        joint=whole.joint(cases),
        joint_of=tuple(case.value for case in whole.must_close()),
    )


class _Whole:
    """Asked and given friction put together, over all axes."""

    def __init__(
        self,
        suspension: Suspension,
        rules: TractionRules,
        asked: AskedFriction,
        given: GivenFriction,
        axes: tuple[Axis, ...],
    ) -> None:
        self._suspension, self._rules = suspension, rules
        self._asked, self._given = asked, given
        self._wrap = tuple(axis for axis in axes if axis.name == WRAP)
        self._axes = (*asked.axes, *given.axes, *self._wrap)
        self._total_rad = suspension.wrap.total_rad
        self._mu = {
            case: friction_coefficient(
                rules=rules, case=case, rope_speed_m_s=suspension.rope_speed_m_s
            )
            for case in rules.cases
        }
        self._ends: dict[str, tuple[End, ...]] = {}
        self._typical: Place = tuple(axis.typical for axis in self._axes)
        self._typical_wrap_rad = (
            self._wrap[0].typical if self._wrap else self._total_rad
        )

    def kinds(self, case: LoadCase) -> Iterator[str]:
        if not case.is_stalled:
            yield WORN
            return
        yield GREATEST
        if self._given.has_bedded:
            yield BEDDED_IN

    def answer(self, case: LoadCase, kind: str) -> OverBox:
        """One load case, with one kind of friction."""
        corners = [
            (
                self._put(case, asked[0], given[0], wrap_rad),
                self._join(asked, given, wrap_rad),
            )
            for asked in self._asked_ends(case)
            for given in self._given_ends(kind)
            for wrap_rad in self._wrap_ends()
        ]
        worst = min(corners, key=_margin, default=(None, self._typical))
        best = max(corners, key=_margin, default=(None, self._typical))
        return from_ends(
            criterion=case.value + (BEDDED if kind == BEDDED_IN else ""),
            axes=self._axes,
            typical_margin=self._at(case, kind, self._typical),
            worst=worst,
            best=best,
            moves=tuple(self._moves(case, kind)),
            holds_throughout=self._asked.holds_throughout()
            and self._given.holds_throughout(),
        )

    def must_close(self) -> list[LoadCase]:
        return [
            case
            for case in self._rules.cases
            if not (case.is_stalled and self._suspension.drive_stalls)
        ]

    def joint(self, cases: tuple[OverBox, ...]) -> Joint:
        """All cases that must close, together."""
        must = self.must_close()
        names = tuple(case.value for case in must)
        single = tuple(each.answer for each in cases if each.criterion in names)
        seen = Evaluations(axes=self._axes, margins=self._all)
        seen.at(place=seen.typical)
        if not all(answer is Answer.WITHIN for answer in single):
            for each in cases:
                seen.at(place=tuple(value for _, value in each.best_at))
        found = answer_jointly(
            seen=seen, criteria=names, told=self._told(must), single=single
        )
        least = found.least_margin
        if found.answer is not Answer.OPEN or least is None or least >= 0.0:
            return found
        never = never_together(
            asked=self._asked,
            given=self._given,
            friction={case: self._mu[case] for case in must},
            wrap_ratios=tuple(wrap / self._total_rad for wrap in self._wrap_ends()),
        )
        return replace(found, answer=Answer.BEYOND) if never else found

    def _told(self, cases: list[LoadCase]) -> Told:
        """Told of the whole: what may turn in its part may turn in the margin."""
        names = [axis.name for axis in self._asked.axes]
        names += [
            name
            for (_, name), behaviour in self._given.told().items()
            if not isinstance(behaviour, Behaviour)
        ]
        return {
            (case.value, name): Behaviour.SEARCH for case in cases for name in names
        }

    def _all(self, at: Mapping[str, float]) -> dict[str, float]:
        place = tuple(at[axis.name] for axis in self._axes)
        found = {}
        for case in self._rules.cases:
            kind = GREATEST if case.is_stalled else WORN
            margin = self._at(case, kind, place)
            if margin is not None:
                found[case.value] = margin
        return found

    def _at(self, case: LoadCase, kind: str, place: Place) -> float | None:
        masses, grooves = len(self._asked.axes), len(self._given.axes)
        asked = self._asked.at(case=case, place=place[:masses])
        given = self._given.seen.margin(
            place=place[masses : masses + grooves], criterion=kind
        )
        if asked is None or given is None:
            return None
        wrap_rad = place[-1] if self._wrap else self._total_rad
        return self._put(case, asked, given, wrap_rad)

    def _put(
        self, case: LoadCase, asked: float, given: float, wrap_rad: float
    ) -> float:
        used = asked / (self._mu[case] * given * wrap_rad / self._total_rad)
        return used - 1.0 if case.is_stalled else 1.0 - used

    def _join(self, asked: End, given: End, wrap_rad: float) -> Place:
        return (*asked[1], *given[1], *((wrap_rad,) if self._wrap else ()))

    def _asked_ends(self, case: LoadCase) -> tuple[End, ...]:
        return self._asked.ends(case=case) or ()

    def _given_ends(self, kind: str) -> tuple[End, ...]:
        if kind not in self._ends:
            self._ends[kind] = self._given.ends(kind=kind)
        return self._ends[kind]

    def _wrap_ends(self) -> tuple[float, ...]:
        if not self._wrap:
            return (self._total_rad,)
        return (self._wrap[0].low, self._wrap[0].high)

    def _moves(self, case: LoadCase, kind: str) -> Iterator[Move]:
        """What each unknown alone does to the margin."""
        typical = self._at(case, kind, self._typical)
        if typical is None:
            return
        asked = self._asked.at(case=case, place=self._asked.typical)
        given = self._given.seen.margin(place=self._given.seen.typical, criterion=kind)
        wrap_rad = self._typical_wrap_rad
        # Each unknown moves what is asked, what is given, or the wrap alone.
        moved = [
            *(
                (axis, [(value, given, wrap_rad) for value in ends])
                for axis, ends in self._asked.moves(case=case)
            ),
            *(
                (axis, [(asked, value, wrap_rad) for value in ends])
                for axis, ends in self._given.moves(kind=kind)
            ),
            *(
                (axis, [(asked, given, value) for value in (axis.low, axis.high)])
                for axis in self._wrap
                if not axis.is_known
            ),
        ]
        for axis, places in moved:
            low, high = (
                0.0 if a is None or g is None else self._put(case, a, g, w) - typical
                for a, g, w in places
            )
            share = (axis.typical - axis.low) / (axis.high - axis.low)
            yield Move(name=axis.name, at_low=low, at_high=high, low_share=share)


def _margin(end: tuple[float, Place]) -> float:
    return end[0]
