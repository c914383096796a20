"""Forces in the rope set on both sides of the sheave, by load case."""

from dataclasses import dataclass
from math import inf

from inspections.engineering.machine import GRAVITY_M_S2, Suspension
from inspections.engineering.traction.rules import LoadCase, TractionRules
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_within,
)
from inspections.reasons import Code, because
from inspections.records import made_by_slots


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class CaseTensions:
    """The two forces of one load case, at its worst place.

    Parameters
    ----------
    case : the load case
    t1_n : T1, the greater force in the whole rope set [N]; when stalled the
        one from the weight that still hangs
    t2_n : T2, the smaller [N]; when stalled the one from the bare ropes
    car_height_m : where the car stands, above its lowest landing [m]
    car_load_kg : load in the car [kg]
    car_is_heavier : whether T1 is on the car's side

    Raises nothing; load_cases makes it.

    Source: EN 81-50:2014 5.11.2.1 (T1 >= T2).

    >>> CaseTensions(case=LoadCase.LOADING, t1_n=24880.0, t2_n=16186.5,
    ...     car_height_m=0.0, car_load_kg=1250.0, car_is_heavier=True).ratio
    1.5371
    """

    case: LoadCase
    t1_n: float
    t2_n: float
    car_height_m: float
    car_load_kg: float
    car_is_heavier: bool

    @property
    def ratio(self) -> float:
        """T1/T2 [-]."""
        return self.t1_n / self.t2_n


def rope_forces_n(
    *,
    suspension: Suspension,
    car_load_kg: float,
    car_height_m: float,
    acceleration_m_s2: float,
) -> tuple[float, float]:
    """Return the forces of the whole rope set at the sheave: car side, other side [N].

    Parameters
    ----------
    suspension : masses and run of the ropes
    car_load_kg : load in the car [kg], >= 0
    car_height_m : y, of the car above its lowest landing [m], from 0 to the travel
    acceleration_m_s2 : a of the car, upwards positive [m/s²]; below g in size

    Validity: 1:1 and 2:1; of the falls of a 2:1 roping only the live one hangs
    on the sheave. No guide friction, no rotating masses.

    Raises OutsideValidity outside these ranges.

    Source: derived from statics and Newton's second law; same structure as
    EN 81-50:2014 5.11.3 (from memory). Car side (P + load + cable/2 per metre
    of y)·(g + a)/i_r + ropes·(g + i_r·a) + compensation·(g + a)/i_r.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> rope_forces_n(suspension=EXAMPLE_MACHINE, car_load_kg=1250, car_height_m=0,
    ...     acceleration_m_s2=0)
    (24880.0, 16186.5)
    """
    if not 0.0 <= car_load_kg < inf:
        require_not_negative(car_load_kg=car_load_kg)
    if not 0.0 <= car_height_m <= suspension.travel_m:
        require_within(low=0.0, high=suspension.travel_m, car_height_m=car_height_m)
    _require_below_gravity(acceleration_m_s2)
    return _both_sides_n(suspension, car_load_kg, car_height_m, acceleration_m_s2)


def _require_below_gravity(acceleration_m_s2: float) -> None:
    if not abs(acceleration_m_s2) < GRAVITY_M_S2:
        raise OutsideValidity(
            name="acceleration_m_s2",
            value=acceleration_m_s2,
            rule=because(Code.RULE_BELOW_IN_SIZE, limit=GRAVITY_M_S2),
        )


def _both_sides_n(
    suspension: Suspension, car_load_kg: float, height_m: float, upward_m_s2: float
) -> tuple[float, float]:
    """Forces at the sheave from what hangs on each side and its live fall."""
    [(_, car_n, other_n)] = _at_places_n(
        suspension, car_load_kg, (height_m,), (upward_m_s2,)
    )
    return car_n, other_n


def _at_places_n(
    suspension: Suspension,
    car_load_kg: float,
    heights_m: tuple[float, ...],
    upwards_m_s2: tuple[float, ...],
) -> list[tuple[float, float, float]]:
    """Height of the car and the forces of both sides, at each height and retardation.

    What hangs there anywhere is looked up once.
    """
    travel_m, roping = suspension.travel_m, suspension.roping
    cable, compensation = (
        suspension.travelling_cable_kg_per_m,
        suspension.compensation_kg_per_m,
    )
    loaded_kg = suspension.car_mass_kg + car_load_kg
    balancing_kg, ropes = suspension.balancing_mass_kg, suspension.ropes_kg_per_m
    device_n = suspension.tension_device_kg * GRAVITY_M_S2 / (2.0 * roping)
    found = []
    for height_m in heights_m:
        above_m = travel_m - height_m
        car_kg = loaded_kg + cable * height_m / 2.0 + compensation * height_m
        other_kg = balancing_kg + compensation * above_m
        for upward in upwards_m_s2:
            car_n = car_kg * (GRAVITY_M_S2 + upward) / roping
            car_n += ropes * above_m * (GRAVITY_M_S2 + roping * upward)
            other_n = other_kg * (GRAVITY_M_S2 - upward) / roping
            other_n += ropes * height_m * (GRAVITY_M_S2 + roping * -upward)
            found.append((height_m, car_n + device_n, other_n + device_n))
    return found


def load_cases(
    *, suspension: Suspension, rules: TractionRules
) -> tuple[CaseTensions, ...]:
    """Return the forces of every case a code asks for, each at its worst place.

    Parameters
    ----------
    suspension : masses and run of the ropes; forces come out in [N]
    rules : which cases, with what load and retardation

    Loading: load_factor x rated load, car at the worse end. Braking: full and
    empty car, either end, either direction. Stalled: empty car at the top with
    the counterweight landed, or counterweight at the top with the car landed.

    Raises OutsideValidity for a retardation of g or more.

    Source: EN 81-50:2014 5.11.2.1 (wording of the cases confirmed); that a
    landed weight takes its compensation with it is derived.

    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> found = load_cases(suspension=EXAMPLE_MACHINE, rules=EN_81_50)
    >>> [case.ratio for case in found[:3]]
    [1.5371, 1.5344, 1.6022]
    """
    return tuple(
        _stalled(suspension=suspension, case=case)
        if case.is_stalled
        else _worst(suspension=suspension, rules=rules, case=case)
        for case in rules.cases
    )


def _worst(
    *, suspension: Suspension, rules: TractionRules, case: LoadCase
) -> CaseTensions:
    """The greatest ratio over both ends of travel and both directions."""
    return max(
        places_of(suspension=suspension, rules=rules, case=case),
        key=lambda place: place.ratio,
    )


def places_of(
    *, suspension: Suspension, rules: TractionRules, case: LoadCase
) -> tuple[CaseTensions, ...]:
    """Return the forces of one case in every place in which it may be worst.

    Parameters
    ----------
    suspension : masses and run of the ropes; forces come out in [N]
    rules : with what load and retardation
    case : the load case

    Both ends of travel and both directions; a stalled case has one place.

    Raises OutsideValidity for a retardation of g or more.

    Source: EN 81-50:2014 5.11.2.1, worst position of the car.

    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> len(places_of(suspension=EXAMPLE_MACHINE, rules=EN_81_50,
    ...     case=LoadCase.BRAKING_EMPTY))
    4
    """
    if case.is_stalled:
        return (_stalled(suspension=suspension, case=case),)
    load_kg = _load_kg(suspension, rules, case)
    return tuple(
        CaseTensions(
            case=case,
            t1_n=max(car_n, other_n),
            t2_n=min(car_n, other_n),
            car_height_m=height_m,
            car_load_kg=load_kg,
            car_is_heavier=car_n >= other_n,
        )
        for height_m, car_n, other_n in _pulls_n(suspension, rules, case, load_kg)
    )


def ratios_of(
    *, suspension: Suspension, rules: TractionRules, case: LoadCase
) -> tuple[tuple[float, bool], ...]:
    """Return T1/T2 [-] of one case in every place, and whether the car is heavier.

    Parameters
    ----------
    suspension : masses and run of the ropes
    rules : with what load and retardation
    case : the load case

    What places_of tells, for those who need the ratios alone, and many of them.

    Raises OutsideValidity for a retardation of g or more.

    Source: EN 81-50:2014 5.11.2.1, as places_of.

    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> max(ratios_of(suspension=EXAMPLE_MACHINE, rules=EN_81_50,
    ...     case=LoadCase.LOADING))
    (1.5371, True)
    """
    if case.is_stalled:
        hung_n, ropes_n = _stalled_n(suspension, case)
        return ((hung_n / ropes_n, case is LoadCase.STALLED_COUNTERWEIGHT),)
    load_kg = _load_kg(suspension, rules, case)
    return tuple(
        [
            (car_n / other_n, True) if car_n >= other_n else (other_n / car_n, False)
            for _, car_n, other_n in _pulls_n(suspension, rules, case, load_kg)
        ]
    )


def _load_kg(suspension: Suspension, rules: TractionRules, case: LoadCase) -> float:
    """What is in the car of a case that is not stalled."""
    if case is LoadCase.LOADING:
        return rules.load_factor * suspension.rated_load_kg
    return suspension.rated_load_kg if case is LoadCase.BRAKING_FULL else 0.0


def _pulls_n(
    suspension: Suspension, rules: TractionRules, case: LoadCase, load_kg: float
) -> list[tuple[float, float, float]]:
    """Height of the car, force on its side and on the other, at each place."""
    retardation = rules.retardation_m_s2 if case.is_braking else 0.0
    _require_below_gravity(retardation)
    both = (-retardation, retardation) if retardation > 0.0 else (0.0,)
    return _at_places_n(suspension, load_kg, (0.0, suspension.travel_m), both)


def _stalled(*, suspension: Suspension, case: LoadCase) -> CaseTensions:
    """The weight still in the ropes against the bare ropes of the landed one.

    T1 is taken at its least: without load, and without the tension device,
    whose pull is lost with the landed weight. T2 is the live fall alone; what
    hangs under the landed weight is carried by the buffer.
    """
    car_hangs = case is LoadCase.STALLED_COUNTERWEIGHT
    hung_n, ropes_n = _stalled_n(suspension, case)
    return CaseTensions(
        case=case,
        t1_n=hung_n,
        t2_n=ropes_n,
        car_height_m=suspension.travel_m if car_hangs else 0.0,
        car_load_kg=0.0,
        car_is_heavier=car_hangs,
    )


def _stalled_n(suspension: Suspension, case: LoadCase) -> tuple[float, float]:
    """Pull of the weight that still hangs, and that of the bare ropes."""
    hung_kg = suspension.compensation_kg_per_m * suspension.travel_m
    if case is LoadCase.STALLED_COUNTERWEIGHT:
        hung_kg += suspension.car_mass_kg
        hung_kg += suspension.travelling_cable_kg_per_m * suspension.travel_m / 2.0
    else:
        hung_kg += suspension.balancing_mass_kg
    ropes_kg = suspension.ropes_kg_per_m * suspension.travel_m
    return hung_kg * GRAVITY_M_S2 / suspension.roping, ropes_kg * GRAVITY_M_S2
