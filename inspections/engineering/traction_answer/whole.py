"""What masses ask and what a groove gives, put together at their ends."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from inspections.engineering.answer import Answer, Axis, Joint, OverBox, answer_jointly
from inspections.engineering.answer.chance import Move
from inspections.engineering.answer.evaluations import (
    Evaluations,
    Moved,
    Place,
)
from inspections.engineering.answer.extremes import (
    Behaviour,
    Told,
)
from inspections.engineering.answer.over_box import Unknown, from_ends
from inspections.engineering.machine import Suspension
from inspections.engineering.traction.rules import (
    LoadCase,
    TractionRules,
    friction_coefficient,
)
from inspections.engineering.traction_answer.asked import AskedFriction, End
from inspections.engineering.traction_answer.given import (
    BEDDED_IN,
    GREATEST,
    LEAST,
    WORN,
    WRAP,
    GivenFriction,
)
from inspections.engineering.traction_answer.never import never_together

BEDDED = "_BEDDED"


class WholeAnswer:
    """Asked and given friction put together, over all axes."""

    def __init__(
        self,
        suspension: Suspension,
        rules: TractionRules,
        asked: AskedFriction,
        given: GivenFriction,
        axes: tuple[Axis, ...],
        bedding_counts: bool,
    ) -> None:
        self._suspension, self._rules = suspension, rules
        self._worn = WORN if bedding_counts else LEAST
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
        self._names = {case: case.value for case in rules.cases}
        self._unknown = Unknown(self._axes)
        self._margins: dict[tuple[LoadCase, str], list[float]] = {}
        self._ends: dict[str, tuple[End, ...]] = {}
        self._given_moves: dict[str, Moved] = {}
        self._wrap_values: tuple[float, ...] = (self._total_rad,)
        if self._wrap:
            self._wrap_values = (self._wrap[0].low, self._wrap[0].high)
        self._low_shares = {
            axis.name: (axis.typical - axis.low) / (axis.high - axis.low)
            for axis in self._axes
            if not axis.is_known
        }
        self._typical: Place = tuple(axis.typical for axis in self._axes)
        self._typical_wrap_rad = (
            self._wrap[0].typical if self._wrap else self._total_rad
        )

    def kinds(self, case: LoadCase) -> Iterator[str]:
        """Yield the kinds of friction that a load case is judged at."""
        if not case.is_stalled:
            yield self._worn
            return
        yield GREATEST
        if self._given.has_bedded:
            yield BEDDED_IN

    def answer(self, case: LoadCase, kind: str) -> OverBox:
        """Return the answer of one load case, with one kind of friction."""
        asked = self._asked.at(case=case, place=self._asked.typical)
        given = self._given.seen.margin(place=self._given.seen.typical, criterion=kind)
        typical, moves = None, []
        worst = self._end(case, kind, most=False)
        # The best that may be there is that of the seat as worn.
        best = self._end(case, WORN if kind == LEAST else kind, most=True)
        if asked is not None and given is not None:
            typical = self._put(case, asked, given, self._typical_wrap_rad)
            moves = list(self._moves(case, kind, (asked, given, typical)))
        return from_ends(
            criterion=self._names[case] + (BEDDED if kind == BEDDED_IN else ""),
            unknown=self._unknown,
            typical_margin=typical,
            worst=worst,
            best=best,
            moves=moves,
            holds_throughout=self._asked.holds_throughout()
            and self._given.holds_throughout(),
        )

    def _end(
        self, case: LoadCase, kind: str, *, most: bool
    ) -> tuple[float | None, Place]:
        """Return the least or the greatest margin of the ends, and its place."""
        margins = self._margins.get((case, kind))
        if margins is None:
            margins = self._margins[case, kind] = self._at_ends(case, kind)
        if not margins:
            return None, self._typical
        found = max(margins) if most else min(margins)
        given, wraps = self._given_ends(kind), self._wrap_values
        index, wrap = divmod(margins.index(found), len(wraps))
        of_asked, of_given = divmod(index, len(given))
        of_case = self._asked_ends(case)
        return found, self._join(of_case[of_asked], given[of_given], wraps[wrap])

    def _at_ends(self, case: LoadCase, kind: str) -> list[float]:
        """Return the margins at all ends of what is asked, given and wrapped."""
        asked = [each for each, _ in self._asked_ends(case)]
        mu, total_rad = self._mu[case], self._total_rad
        held = [
            mu * each * wrap_rad / total_rad
            for each, _ in self._given_ends(kind)
            for wrap_rad in self._wrap_values
        ]
        if case.is_stalled:
            return [one / other - 1.0 for one in asked for other in held]
        return [1.0 - one / other for one in asked for other in held]

    def must_close(self) -> list[LoadCase]:
        """Return the load cases that must close on this machine."""
        return [
            case
            for case in self._rules.cases
            if not (case.is_stalled and self._suspension.drive_stalls)
        ]

    def joint(self, cases: tuple[OverBox, ...]) -> Joint:
        """Return the answer of all cases that must close, together."""
        must = self.must_close()
        names = tuple(self._names[case] for case in must)
        single = tuple(each.answer for each in cases if each.criterion in names)
        seen = Evaluations(axes=self._axes, margins=self._all)
        seen.at(place=seen.typical)
        if not all(answer is Answer.WITHIN for answer in single):
            for each in cases:
                seen.at(place=tuple(value for _, value in each.best_at))
        found = answer_jointly(
            seen=seen, criteria=names, told=lambda: self._told(must), single=single
        )
        least = found.least_margin
        if found.answer is not Answer.OPEN or least is None or least >= 0.0:
            return found
        never = never_together(
            asked=self._asked,
            given=self._given,
            friction={case: self._mu[case] for case in must},
            wrap_ratios=tuple(wrap / self._total_rad for wrap in self._wrap_values),
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
            (self._names[case], name): Behaviour.SEARCH
            for case in cases
            for name in names
        }

    def _all(self, at: Mapping[str, float]) -> dict[str, float]:
        masses, grooves, wrap_rad = self._parts(tuple(at.values()))
        given, found = self._given.seen.at(place=grooves), {}
        for case, name in self._names.items():
            asked = self._asked.at(case=case, place=masses)
            held = given.get(GREATEST if case.is_stalled else WORN)
            if asked is not None and held is not None:
                found[name] = self._put(case, asked, held, wrap_rad)
        return found

    def _parts(self, place: Place) -> tuple[Place, Place, float]:
        """Return what of a place the masses are, the groove, and the wrap."""
        masses = len(self._asked.axes)
        grooves = masses + len(self._given.axes)
        wrap_rad = place[-1] if self._wrap else self._total_rad
        return place[:masses], place[masses:grooves], wrap_rad

    def _put(
        self, case: LoadCase, asked: float, given: float, wrap_rad: float
    ) -> float:
        used = asked / self._held(case, given, wrap_rad)
        return used - 1.0 if case.is_stalled else 1.0 - used

    def _held(self, case: LoadCase, given: float, wrap_rad: float) -> float:
        return self._mu[case] * given * wrap_rad / self._total_rad

    def _join(self, asked: End, given: End, wrap_rad: float) -> Place:
        return (*asked[1], *given[1], *((wrap_rad,) if self._wrap else ()))

    def _asked_ends(self, case: LoadCase) -> tuple[End, ...]:
        return self._asked.ends(case=case) or ()

    def _given_ends(self, kind: str) -> tuple[End, ...]:
        if kind not in self._ends:
            self._ends[kind] = self._given.ends(kind=kind)
        return self._ends[kind]

    def _moves(
        self, case: LoadCase, kind: str, typically: tuple[float, float, float]
    ) -> Iterator[Move]:
        """What each unknown alone does to the margin.

        Typically so much is asked and given, and the margin is this.
        """
        asked, given, typical = typically
        mu, typical_rad = self._mu[case], self._typical_wrap_rad
        total_rad, stalled = self._total_rad, case.is_stalled

        def off(given: float | None, wrap_rad: float) -> float:
            if given is None:
                return 0.0
            used = asked / (mu * given * wrap_rad / total_rad)
            return (used - 1.0 if stalled else 1.0 - used) - typical

        held, shares = mu * given * typical_rad / total_rad, self._low_shares
        # Each unknown moves what is asked, what is given, or the wrap alone.
        for axis, ends in self._asked.moves(case=case):
            low, high = [
                0.0
                if end is None
                else (end / held - 1.0 if stalled else 1.0 - end / held) - typical
                for end in ends
            ]
            yield Move(axis.name, low, high, shares[axis.name])
        for axis, (at_low, at_high) in self._moves_of_given(kind):
            low, high = off(at_low, typical_rad), off(at_high, typical_rad)
            yield Move(axis.name, low, high, shares[axis.name])
        for axis in self._wrap:
            if not axis.is_known:
                low, high = off(given, axis.low), off(given, axis.high)
                yield Move(axis.name, low, high, shares[axis.name])

    def _moves_of_given(self, kind: str) -> Moved:
        found = self._given_moves.get(kind)
        if found is None:
            found = self._given_moves[kind] = self._given.moves(kind=kind)
        return found
