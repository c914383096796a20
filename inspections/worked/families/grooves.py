"""Grooves: clearance to the bottom, seats, steps of crowns, fit, metal below."""

from inspections.assessment import basis
from inspections.engineering.groove import bottoming_depth_mm
from inspections.worked.families.built import one_line
from inspections.worked.families.matching import Candidate, first_that_gives
from inspections.worked.records import Number, Part
from inspections.worked.told import Told, read, worked

_MOST_LISTED = 12


def clearance(told: Told) -> list[Part]:
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


def depths(told: Told) -> list[Part]:
    """Return the difference of the seats, as a share of the rope."""
    found = told.detail.get("seat_depths_mm", ())
    if told.value is None or not 2 <= len(found) <= _MOST_LISTED:
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


def step(told: Told) -> list[Part]:
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


def fit(told: Told) -> list[Part]:
    """Return the seat's radius over the rope's diameter."""
    if told.value is None or "seat_radius_mm" not in told.detail:
        return []
    numbers = (
        read("r", "seat_radius", told.detail["seat_radius_mm"], "mm"),
        read("d", "rope_diameter", told.detail["rope_diameter_mm"], "mm"),
    )
    return [one_line(told, name="radius_ratio", formula_="r/d", numbers=numbers)]


def several(
    symbol: str, name: str, values: list[float], unit: str = ""
) -> tuple[tuple[Number, ...], str]:
    """Return values that were read as numbers of one kind, and their list of names."""
    numbers = tuple(
        read(f"{symbol}{at}", name, value, unit) for at, value in enumerate(values, 1)
    )
    return numbers, ",".join(each.symbol for each in numbers)


def metal(told: Told) -> list[Part]:
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


def layer(told: Told) -> list[Part]:
    """Return the depth of the seat that the hardened layer is held against."""
    depth = told.detail.get("seat_depth_mm")
    found = first_that_gives(
        told.value, [("s", (read("s", "seat_depth", depth or 0.0, "mm"),))]
    )
    if depth is None or found is None:
        return []
    return [one_line(told, name="seat_depth", formula_=found[0], numbers=found[1])]


def heights(told: Told) -> list[Part]:
    """Return how far crowns lie apart, or ways of measuring one seat."""
    for key, name in (("heights_mm", "crown_height"), ("depths_mm", "seat_depth")):
        values = told.detail.get(key, ())
        if 2 <= len(values) <= _MOST_LISTED:
            numbers, names = several("h", name, values, "mm")
            text = f"max({names})-min({names})"
            found = first_that_gives(told.value, [(text, numbers)])
            if found is not None:
                part = one_line(told, name=name, formula_=text, numbers=numbers)
                return [part]
    return []


def levelling(told: Told) -> list[Part]:
    """Return the greatest step between car and landing."""
    values = told.detail.get("levelling_errors_mm", ())
    if not 1 <= len(values) <= _MOST_LISTED:
        return []
    numbers, _ = several("h", "levelling_error", values, "mm")
    text = f"max({','.join(f'abs({each.symbol})' for each in numbers)})"
    found = first_that_gives(told.value, [(text, numbers)])
    if found is None:
        return []
    return [one_line(told, name="levelling_error", formula_=text, numbers=numbers)]
