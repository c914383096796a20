"""The forces in the ropes on both sides of the sheave, from the masses."""

from collections.abc import Iterator, Mapping
from math import isclose
from typing import Any

from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.suspension import Suspension, TractionRules
from inspections.engineering.tensions import places_of
from inspections.engineering.traction import LoadCase
from inspections.worked import formula
from inspections.worked.records import Line, Number
from inspections.worked.told import Told, of_rules

_NEAR = 1e-9


def of_case(
    told: Told, pull: Mapping[str, Any], hung: Suspension, rules: TractionRules
) -> Iterator[Line]:
    """Yield T1 and T2 of a load case; nothing where the masses do not give them."""
    case = LoadCase(pull["case"])
    if case.is_stalled:
        sides = _stalled(told, case, hung)
    else:
        upward = _upward(pull, hung, rules)
        car = car_side(
            told, hung, pull["car_load_kg"], pull["car_height_m"], upward or 0.0
        )
        other = other_side(told, hung, pull["car_height_m"], upward or 0.0)
        sides = (car, other) if pull["car_is_heavier"] else (other, car)
    for symbol, name, value, (text, numbers) in zip(
        ("T1", "T2"),
        ("greater_force", "smaller_force"),
        (pull["t1_n"], pull["t2_n"]),
        sides,
        strict=True,
    ):
        given = {each.symbol: each.value for each in numbers}
        if isclose(formula.evaluate(text, given), value, rel_tol=_NEAR):
            yield Line(
                symbol=symbol,
                name=name,
                value=value,
                unit="N",
                formula=text,
                numbers=numbers,
            )


Side = tuple[str, tuple[Number, ...]]


def _upward(
    pull: Mapping[str, Any], hung: Suspension, rules: TractionRules
) -> float | None:
    """Return the car's acceleration upwards of the place that decides."""
    case = LoadCase(pull["case"])
    retardation = rules.retardation_m_s2 if case.is_braking else 0.0
    tried = sorted({retardation, -retardation})
    places = iter(places_of(suspension=hung, rules=rules, case=case))
    for height in (0.0, hung.travel_m):
        for upward in tried:
            place = next(places)
            if height == pull["car_height_m"] and isclose(place.t1_n, pull["t1_n"]):
                return upward
    return None


def _shared(told: Told, hung: Suspension, upward: float) -> list[Number]:
    numbers = [of_rules("g", "gravity", GRAVITY_M_S2, "m/s²")]
    if upward:
        numbers.append(of_rules("a", "acceleration", upward, "m/s²"))
    if hung.roping != 1:
        numbers.append(told.registered("i", "roping", hung.roping))
    return numbers


def car_side(
    told: Told, hung: Suspension, load_kg: float, height_m: float, upward: float
) -> Side:
    """Return the force on the car's side, a formula with its numbers."""
    masses, numbers = (
        ["P"],
        [told.registered("P", "car_mass_kg", hung.car_mass_kg, "kg")],
    )
    if load_kg:
        masses.append("Q")
        numbers.append(told.registered("Q", "load_in_car_kg", load_kg, "kg"))
    if height_m and hung.travelling_cable_kg_per_m:
        masses.append("c*y/2")
        numbers.append(
            told.registered(
                "c",
                "travelling_cable_mass_kg_m",
                hung.travelling_cable_kg_per_m,
                "kg/m",
            )
        )
    if height_m and hung.compensation_kg_per_m:
        masses.append("k*y")
        numbers.append(_compensation(told, hung))
    if len(masses) > 1 and any("y" in each for each in masses):
        numbers.append(told.registered("y", "car_height_m", height_m, "m"))
    above_m = hung.travel_m - height_m
    return _side(told, hung, masses, numbers, above_m, upward)


def other_side(told: Told, hung: Suspension, height_m: float, upward: float) -> Side:
    """Return the force on the counterweight's side."""
    masses, numbers = _balancing(told, hung)
    above_m = hung.travel_m - height_m
    if above_m and hung.compensation_kg_per_m:
        masses.append("k*z")
        numbers += [
            _compensation(told, hung),
            told.registered("z", "counterweight_height_m", above_m, "m"),
        ]
    return _side(told, hung, masses, numbers, height_m, -upward)


def _balancing(told: Told, hung: Suspension) -> tuple[list[str], list[Number]]:
    if hung.counterweight_mass_kg is not None:
        mass = hung.counterweight_mass_kg
        return ["G"], [told.registered("G", "counterweight_mass_kg", mass, "kg")]
    return ["P", "q*N"], [
        told.registered("P", "car_mass_kg", hung.car_mass_kg, "kg"),
        told.registered("q", "balance_ratio", hung.balance_ratio or 0.0),
        told.registered("N", "rated_load_kg", hung.rated_load_kg, "kg"),
    ]


def _compensation(told: Told, hung: Suspension) -> Number:
    return told.registered(
        "k", "compensation_mass_kg_m", hung.compensation_kg_per_m, "kg/m"
    )


def _side(
    told: Told,
    hung: Suspension,
    masses: list[str],
    numbers: list[Number],
    fall_m: float,
    upward: float,
) -> Side:
    """Return what hangs on a side, its live fall and the tension device."""
    sign = "+" if upward > 0.0 else "-"
    pull = f"(g{sign}a)" if upward else "g"
    ratio = "/i" if hung.roping != 1 else ""
    text = f"({'+'.join(masses)})*{pull}{ratio}"
    if len(masses) == 1:
        text = f"{masses[0]}*{pull}{ratio}"
    if fall_m:
        times = "i*a" if hung.roping != 1 else "a"
        own = f"(g{sign}{times})" if upward else "g"
        text += f"+w*h*{own}"
        numbers = [
            *numbers,
            told.registered("w", "ropes_kg_m", hung.ropes_kg_per_m, "kg/m"),
            told.registered("h", "live_fall_m", fall_m, "m"),
        ]
    if hung.tension_device_kg:
        text += "+D*g/(2*i)" if hung.roping != 1 else "+D*g/2"
        device = hung.tension_device_kg
        numbers = [*numbers, told.registered("D", "tension_device_kg", device, "kg")]
    shared = _shared(told, hung, abs(upward))
    return text, (*numbers, *shared)


def _stalled(told: Told, case: LoadCase, hung: Suspension) -> tuple[Side, Side]:
    """Return the weight that still hangs, and the bare ropes of the landed one."""
    height = told.registered("h", "travel_m", hung.travel_m, "m")
    if case is LoadCase.STALLED_COUNTERWEIGHT:
        masses = ["P"]
        numbers = [told.registered("P", "car_mass_kg", hung.car_mass_kg, "kg")]
        if hung.travelling_cable_kg_per_m:
            masses.append("c*h/2")
            cable = hung.travelling_cable_kg_per_m
            numbers.append(
                told.registered("c", "travelling_cable_mass_kg_m", cable, "kg/m")
            )
    else:
        masses, numbers = _balancing(told, hung)
    if hung.compensation_kg_per_m:
        masses.append("k*h")
        numbers.append(_compensation(told, hung))
    if any("h" in each for each in masses):
        numbers.append(height)
    hangs, _ = _side(told, hung, masses, [], 0.0, 0.0)
    if hung.tension_device_kg:
        hangs = hangs.partition("+D*g")[0]
    shared = _shared(told, hung, 0.0)
    ropes = told.registered("w", "ropes_kg_m", hung.ropes_kg_per_m, "kg/m")
    return (hangs, (*numbers, *shared)), ("w*h*g", (ropes, height, shared[0]))
