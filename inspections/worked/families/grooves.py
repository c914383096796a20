"""Grooves: clearance to the bottom, seats, steps of crowns, fit, metal below."""

from collections.abc import Iterator
from math import pi

from inspections.assessment import basis
from inspections.engineering.groove import bottoming_depth_mm
from inspections.engineering.tension.feed import NOISE_FACTOR, PAIR_TENSION_RATIO
from inspections.worked.families.built import one_line
from inspections.worked.families.matching import Candidate, first_that_gives
from inspections.worked.records import Line, Number, WorkedLines
from inspections.worked.told import Told, of_rules, read, worked

MOST_LISTED = 12


def clearance(told: Told) -> list[WorkedLines]:
    """Return the clearance as read, or as the seat's depth leaves it."""
    given = told.detail
    if told.value is None or "clearance_mm" not in given:
        return []
    found = first_that_gives(told.value, _clearances(told))
    if found is None:
        return []
    text, numbers = found
    return [one_line(told, name="bottom_clearance", formula_=text, numbers=numbers)]


def _clearances(told: Told) -> list[Candidate]:
    given = told.detail
    left = read("c", "bottom_clearance", given["clearance_mm"], "mm")
    if given.get("route") == "CLEARANCE" or not told.shared:
        return [("c", (left,))]
    found = basis.from_shared(told.shared)
    new_mm = None
    if found is not None and found.groove is not None:
        new_mm = bottoming_depth_mm(
            groove=found.groove, rope_diameter_mm=given["rope_diameter_mm"]
        )
    if new_mm is None:
        return [("c", (left,))]
    sunk = read("s", "seat_depth", new_mm - given["clearance_mm"], "mm")
    as_cut = told.registered("c_0", "bottom_clearance_new_mm", new_mm, "mm")
    return [("c_0-s", (as_cut, sunk))]


def depths(told: Told) -> list[WorkedLines]:
    """Return the difference of the seats, as a share of the rope."""
    found = told.detail.get("seat_depths_mm", ())
    if told.value is None or not 2 <= len(found) <= MOST_LISTED:
        return []
    seats, names = several("s", "seat_depth", found, "mm")
    nominal = told.registered(
        "d", "nominal_diameter_mm", told.detail["nominal_diameter_mm"], "mm"
    )
    text = f"100*(max({names})-min({names}))/d"
    return [
        one_line(
            told, name="seat_depth_spread", formula_=text, numbers=(*seats, nominal)
        )
    ]


def step(told: Told) -> list[WorkedLines]:
    """Return the step between crowns, as a share of the rope."""
    if told.value is None or "step_mm" not in told.detail:
        return []
    numbers = (
        read("h", "crown_step", told.detail["step_mm"], "mm"),
        told.registered(
            "d", "nominal_diameter_mm", told.detail["nominal_diameter_mm"], "mm"
        ),
    )
    return [one_line(told, name="crown_step", formula_="100*h/d", numbers=numbers)]


def fit(told: Told) -> list[WorkedLines]:
    """Return the rope's radius over the seat's."""
    if told.value is None or "seat_radius_mm" not in told.detail:
        return []
    numbers = (
        read("r", "seat_radius", told.detail["seat_radius_mm"], "mm"),
        read("d", "rope_diameter", told.detail["rope_diameter_mm"], "mm"),
    )
    return [one_line(told, name="radius_ratio", formula_="d/(2*r)", numbers=numbers)]


def several(
    symbol: str, name: str, values: list[float], unit: str = ""
) -> tuple[tuple[Number, ...], str]:
    """Return values that were read as numbers of one kind, and their list of names."""
    numbers = tuple(
        read(f"{symbol}{at}", name, value, unit) for at, value in enumerate(values, 1)
    )
    return numbers, ",".join(each.symbol for each in numbers)


def metal(told: Told) -> list[WorkedLines]:
    """Return the metal left under the thinnest groove at its worst."""
    given, number = told.detail.get("given"), told.detail.get("thinnest_groove")
    if told.value is None or not given or number is None:
        return []
    under = {each["number"]: each for each in told.detail["metal"]["grooves"]}[number]
    bottom = {each["number"]: each for each in given["grooves"]}[number]
    if under["over_bolts"]:
        return []
    depth, sd = bottom["bottom_depth_mm"], bottom["sd_mm"]
    whole = told.value + depth + (2.0 * sd if under["worst_mm"] is not None else 0.0)
    numbers = [
        worked("t", "least_thickness", whole, "mm"),
        told.registered("b", "groove_bottom_depth", depth, "mm"),
    ]
    text = "t-b"
    if under["worst_mm"] is not None:
        text = "t-b-2*u"
        numbers.append(read("u", "groove_depth_sd", sd, "mm"))
    return [one_line(told, name="rim_metal", formula_=text, numbers=tuple(numbers))]


def layer(told: Told) -> list[WorkedLines]:
    """Return the depth of the seat that the hardened layer is held against."""
    depth = told.detail.get("seat_depth_mm")
    found = first_that_gives(
        told.value, [("s", (read("s", "seat_depth", depth or 0.0, "mm"),))]
    )
    if depth is None or found is None:
        return []
    return [one_line(told, name="seat_depth", formula_=found[0], numbers=found[1])]


def heights(told: Told) -> list[WorkedLines]:
    """Return how far crowns lie apart, or ways of measuring one seat."""
    for key, name in (("heights_mm", "crown_height"), ("depths_mm", "seat_depth")):
        values = told.detail.get(key, ())
        if 2 <= len(values) <= MOST_LISTED:
            numbers, names = several("h", name, values, "mm")
            text = f"max({names})-min({names})"
            found = first_that_gives(told.value, [(text, numbers)])
            if found is not None:
                part = one_line(told, name=name, formula_=text, numbers=numbers)
                return [part]
    return []


def levelling(told: Told) -> list[WorkedLines]:
    """Return the greatest step between car and landing."""
    values = told.detail.get("levelling_errors_mm", ())
    if not 1 <= len(values) <= MOST_LISTED:
        return []
    numbers, _ = several("h", "levelling_error", values, "mm")
    text = f"max({','.join(f'abs({each.symbol})' for each in numbers)})"
    found = first_that_gives(told.value, [(text, numbers)])
    if found is None:
        return []
    return [one_line(told, name="levelling_error", formula_=text, numbers=numbers)]


def pair(told: Told) -> list[WorkedLines]:
    """Return how far the two seats of a rope differ, and what difference is allowed."""
    given = told.detail
    if told.value is None or "second_depth_mm" not in given:
        return []
    numbers = (
        read("s1", "seat_depth", given["first_depth_mm"], "mm"),
        read("s2", "seat_depth", given["second_depth_mm"], "mm"),
    )
    value = one_line(
        told, name="pair_difference", formula_="abs(s1-s2)", numbers=numbers
    )
    return [value, WorkedLines(name="limit", lines=tuple(_pair_limit(told)))]


def _pair_limit(told: Told) -> Iterator[Line]:
    given = told.detail
    stiffness, loop = given["rope_stiffness_n"], given["loop_length_m"]
    per_mm = 2.0 * pi * stiffness / (1000.0 * loop)
    yield Line(
        symbol="p",
        name="force_per_mm",
        value=per_mm,
        unit="N/mm",
        formula="2*3.14159265*K/(1000*l)",
        numbers=(
            worked("K", "rope_stiffness", stiffness, "N"),
            told.registered("l", "loop_length", loop, "m"),
        ),
    )
    if told.limit is None:
        return
    yield Line(
        symbol="L",
        name="limit",
        value=told.limit,
        unit=told.unit,
        formula="max(q*F/p,n*sqrt(2)*u)",
        numbers=(
            of_rules("q", "pair_ratio", PAIR_TENSION_RATIO),
            worked("F", "rope_force_n", given["rope_force_n"], "N"),
            worked("p", "force_per_mm", per_mm, "N/mm"),
            of_rules("n", "noise_factor", NOISE_FACTOR),
            read("u", "seat_depth_sd", given["depth_sd_mm"], "mm"),
        ),
    )
