"""What the forces of a load case ask of friction, at any masses."""

from collections.abc import Mapping
from dataclasses import replace
from math import log
from typing import Any

from inspections.engineering.answer import Axis
from inspections.engineering.answer.evaluations import (
    Evaluations,
    Moved,
    Place,
)
from inspections.engineering.answer.extremes import (
    both_ends,
)
from inspections.engineering.machine import Suspension
from inspections.engineering.tensions import ratios_of
from inspections.engineering.traction.rules import (
    LoadCase,
    TractionRules,
    braking_harder,
    dynamic_factor,
    friction_coefficient,
)

End = tuple[float, Place]

# The forces at one place are a ratio of two that are linear in each of these.
_MASSES = (
    "car_mass_kg",
    "rated_load_kg",
    "travel_m",
    "balance_ratio",
    "counterweight_mass_kg",
    "compensation_kg_per_m",
    "travelling_cable_kg_per_m",
    "rope_mass_kg_per_m",
)
_SPEED = "rated_speed_m_s"
BRAKING = "braking_deceleration_m_s2"


class AskedFriction:
    """ln(T1/T2) of every load case, each combination of masses worked out once.

    A speed that is not known counts with what it asks for: the faster, the greater the
    dynamic factor and the less the friction that there is for it. A braking that is not
    known retards the masses, or is in the dynamic factor that stands for it.

    Parameters
    ----------
    suspension : masses [kg] and run of the ropes, what is not known typical
    rules : which cases, with what load and retardation
    axes : what is not known; those of masses, travel, braking and speed are taken up

    Raises nothing; a combination outside its range has no value.

    Source: EN 81-50:2014 5.11.2.1.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.traction import EN_81_50
    >>> asked = AskedFriction(suspension=EXAMPLE_MACHINE, rules=EN_81_50, axes=())
    >>> round(asked.at(case=LoadCase.LOADING, place=()), 4)
    0.4299
    """

    def __init__(
        self, *, suspension: Suspension, rules: TractionRules, axes: tuple[Axis, ...]
    ) -> None:
        self._suspension = suspension
        self._rules = rules
        # A factor stands for the braking at the speed, or the masses are retarded.
        by_factor = {_SPEED, BRAKING} if rules.dynamic_factors else {_SPEED}
        masses = tuple(
            axis
            for axis in axes
            if (axis.name in _MASSES and getattr(suspension, axis.name) is not None)
            or (axis.name == BRAKING and BRAKING not in by_factor)
        )
        self._running = tuple(axis for axis in axes if axis.name in by_factor)
        self.axes = (*masses, *self._running)
        self.seen = Evaluations(axes=masses, margins=self._all)
        self._at_run: dict[tuple[LoadCase, Place], tuple[float, float]] = {}
        self._asked: dict[tuple[LoadCase, Place], float | None] = {}
        self._names: dict[LoadCase, tuple[str, ...]] = {}
        self._ends: dict[LoadCase, tuple[End, End] | None] = {}
        self._moves: dict[LoadCase, Moved] = {}
        self.typical: Place = tuple(axis.typical for axis in self.axes)

    def anew(self) -> "AskedFriction":
        """Return the same with nothing worked out yet."""
        return AskedFriction(
            suspension=self._suspension, rules=self._rules, axes=self.axes
        )

    def at(self, *, case: LoadCase, place: Place) -> float | None:
        """Return ln(T1/T2·C) of a case at its worst place [-], None if there is none.

        Stalled it is that of the weight still hanging over the bare ropes, which may
        be negative.
        """
        asked = (case, place)
        if asked not in self._asked:
            self._asked[asked] = self._at(case, place)
        return self._asked[asked]

    def _at(self, case: LoadCase, place: Place) -> float | None:
        masses, running = self._split(place)
        known = self.seen.at(place=masses)
        if not known:
            return None
        found = [known[name] for name in self._names[case]]
        if case.is_stalled:
            return found[0]
        return self._as_run(case, max(abs(value) for value in found), running)

    def moves(self, *, case: LoadCase) -> Moved:
        """Return ln(T1/T2·C) [-] at both ends of each unknown, the others typical."""
        found = self._moves.get(case)
        if found is None:
            found = self._moves[case] = [
                (
                    axis,
                    (
                        self._moved(case, index, axis.low),
                        self._moved(case, index, axis.high),
                    ),
                )
                for index, axis in enumerate(self.axes)
                if not axis.is_known
            ]
        return found

    def _moved(self, case: LoadCase, index: int, value: float) -> float | None:
        typical = self.typical
        place = (*typical[:index], value, *typical[index + 1 :])
        return self.at(case=case, place=place)

    def ends(self, *, case: LoadCase) -> tuple[End, End] | None:
        """Return the least and the greatest over the masses, each with its place.

        At each place of the car the ratio of two forces, both linear in every mass,
        only rises or falls with each. The greatest is reached; the least is that of
        the place that asks most at its own best, which no masses can better: it is
        reached too unless car and counterweight change over which is heavier.
        """
        if case not in self._ends:
            self._ends[case] = self._look_for_ends(case)
        return self._ends[case]

    def _look_for_ends(self, case: LoadCase) -> tuple[End, End] | None:
        self.seen.at(place=self.seen.typical)
        by_place = [self._ends_of(name) for name in self._names.get(case, ())]
        found = [each for each in by_place if each is not None]
        if not found:
            return None
        if case.is_stalled:
            low, high = found[0]
            return self._end(case, low, most=False), self._end(case, high, most=True)
        least = max((_nearest_to_level(*each) for each in found), key=_value)
        ends = (end for each in found for end in each)
        greatest = max(((abs(value), place) for value, place in ends), key=_value)
        return self._end(case, least, most=False), self._end(case, greatest, most=True)

    def _end(self, case: LoadCase, end: End, *, most: bool) -> End:
        """Return an end over the masses, run as slowly or as fast as belongs to it."""
        value, masses = end
        running = tuple(axis.high if most else axis.low for axis in self._running)
        place = (*masses, *running)
        if case.is_stalled:
            return value, place
        return self._as_run(case, value, running), place

    def one_sided(self, *, case: LoadCase) -> tuple[str, ...]:
        """Return the places of a case at which the same side is always heavier.

        There the logarithm only rises or falls with each mass.
        """
        self.seen.at(place=self.seen.typical)
        found = []
        for name in self._names.get(case, ()):
            ends = self._ends_of(name)
            if ends is not None and (case.is_stalled or ends[0][0] * ends[1][0] > 0.0):
                found.append(name)
        return tuple(found)

    def at_one(self, *, case: LoadCase, name: str, place: Place) -> float | None:
        """Return ln(T1/T2·C) at one place of a case [-]; stalled it may be negative."""
        masses, running = self._split(place)
        value = self.seen.margin(place=masses, criterion=name)
        if value is None or case.is_stalled:
            return value
        return self._as_run(case, abs(value), running)

    def holds_throughout(self) -> bool:
        """Return whether the forces could be worked out wherever it was tried."""
        return self.seen.holds

    def _ends_of(self, name: str) -> tuple[End, End] | None:
        (low, low_at), (high, high_at) = both_ends(
            seen=self.seen, criterion=name, told={}
        )
        if low is None or high is None:
            return None
        return (low, low_at), (high, high_at)

    def _all(self, at: Mapping[str, float]) -> dict[str, float]:
        changed: dict[str, Any] = {n: v for n, v in at.items() if n != BRAKING}
        suspension = replace(self._suspension, **changed)
        rules = self._braking(at.get(BRAKING))
        found = {}
        for case in rules.cases:
            ratios = ratios_of(suspension=suspension, rules=rules, case=case)
            names = self._names.get(case)
            if names is None:
                names = self._names[case] = tuple(
                    [f"{case.value}@{number}" for number in range(len(ratios))]
                )
            for name, (ratio, car_is_heavier) in zip(names, ratios, strict=True):
                rises = car_is_heavier or case.is_stalled
                found[name] = log(ratio) if rises else -log(ratio)
        return found

    def _split(self, place: Place) -> tuple[Place, Place]:
        """Return the values of the masses and those of how the car is run."""
        count = len(place) - len(self._running)
        return place[:count], place[count:]

    def _as_run(self, case: LoadCase, value: float, running: Place) -> float:
        """Return what is asked as the car is run, of friction at the usual speed."""
        found = self._at_run.get((case, running))
        if found is None:
            found = self._at_run[case, running] = self._factors(case, running)
        return (value + found[0]) * found[1]

    def _factors(self, case: LoadCase, running: Place) -> tuple[float, float]:
        at = dict(zip((axis.name for axis in self._running), running, strict=True))
        usual_m_s = self._suspension.rated_speed_m_s
        speed_m_s = at.get(_SPEED, usual_m_s)
        factor = dynamic_factor(
            rules=self._braking(at.get(BRAKING)), case=case, rated_speed_m_s=speed_m_s
        )
        return log(factor), self._friction(case, usual_m_s) / self._friction(
            case, speed_m_s
        )

    def _braking(self, retardation_m_s2: float | None) -> TractionRules:
        if retardation_m_s2 is None:
            return self._rules
        return braking_harder(rules=self._rules, retardation_m_s2=retardation_m_s2)

    def _friction(self, case: LoadCase, speed_m_s: float) -> float:
        return friction_coefficient(
            rules=self._rules,
            case=case,
            rope_speed_m_s=self._suspension.roping * speed_m_s,
        )


def _value(end: End) -> float:
    return end[0]


def _nearest_to_level(low: End, high: End) -> End:
    """The least size between two signed ends."""
    if low[0] <= 0.0 <= high[0]:
        return 0.0, min(low, high, key=lambda end: abs(end[0]))[1]
    return min(((abs(value), place) for value, place in (low, high)), key=_value)
