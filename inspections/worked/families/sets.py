"""The set of ropes: how evenly it carries, and what a trip changes of that."""

from collections.abc import Iterator
from statistics import fmean

from inspections.worked.families.built import one_line
from inspections.worked.families.grooves import several
from inspections.worked.families.matching import Candidate, first_that_gives
from inspections.worked.records import WorkedLines
from inspections.worked.told import Told, read


def tension(told: Told) -> list[WorkedLines]:
    """Return the spread of the tensions, by the measure that the rule asks for."""
    for key, unit in (("tensions_n", "N"), ("tension_indices", "")):
        values = told.detail.get(key)
        if values:
            found = first_that_gives(told.value, _spreads(told, values, unit))
            if found is not None:
                text, numbers = found
                return [
                    one_line(
                        told, name="tension_spread", formula_=text, numbers=numbers
                    )
                ]
    return []


def _spreads(told: Told, values: list[float], unit: str) -> Iterator[Candidate]:
    ropes, names = several("T", "rope_tension", values, unit)
    if min(values) <= 0.0:
        return
    slack = f"100*min({names})/mean({names})"
    spread = f"100*(max({names})/min({names})-1)"
    mean = f"mean({names})"
    deviation = f"100*max(max({names})-{mean},{mean}-min({names}))/{mean}"
    for text in (slack, spread, deviation):
        yield text, ropes


def swing(told: Told) -> list[WorkedLines]:
    """Return by how much the share of the rope that swings most changes."""
    bottom, top = told.detail.get("bottom_n"), told.detail.get("top_n")
    if not bottom or not top or told.value is None:
        return []
    candidates = []
    for low, high in zip(bottom, top, strict=True):
        numbers = (
            read("B", "tension_at_bottom", low),
            read("B_m", "mean_at_bottom", fmean(bottom)),
            read("T", "tension_at_top", high),
            read("T_m", "mean_at_top", fmean(top)),
        )
        candidates.append(("abs(B/B_m-T/T_m)", numbers))
    found = first_that_gives(told.value, candidates)
    if found is None:
        return []
    value = one_line(told, name="tension_swing", formula_=found[0], numbers=found[1])
    return [value]


def speed(told: Told) -> list[WorkedLines]:
    """Return the car's speed as a share of the rated speed."""
    given = told.detail
    if told.value is None or "rated_speed_m_s" not in given:
        return []
    numbers = (
        read("v", "travel_speed", given["speed_m_s"], "m/s"),
        told.registered("v_r", "rated_speed_m_s", given["rated_speed_m_s"], "m/s"),
    )
    return [one_line(told, name="speed", formula_="100*v/v_r", numbers=numbers)]


def hardness(told: Told) -> list[WorkedLines]:
    """Return the softest place of the rim, or how far its places lie apart."""
    values = told.detail.get("hardness_hb")
    if not values:
        return []
    read_, names = several("H", "hardness", values, "HB")
    candidates: list[Candidate] = [
        (f"min({names})", read_),
        (f"max({names})-min({names})", read_),
    ]
    found = first_that_gives(told.value, candidates)
    if found is None:
        return []
    return [one_line(told, name="hardness", formula_=found[0], numbers=found[1])]


def runby(told: Told) -> list[WorkedLines]:
    """Return the run-by as it was read."""
    if told.value is None or "value" not in told.detail:
        return []
    as_read = (read("r", "runby", told.detail["value"], "mm"),)
    return [one_line(told, name="runby", formula_="r", numbers=as_read)]


def least_ropes(told: Told) -> list[WorkedLines]:
    """Return number or diameter of the ropes as registered."""
    for key, name, unit in (
        ("ropes", "ropes", ""),
        ("rope_diameter_mm", "nominal_diameter_mm", "mm"),
    ):
        if told.value is not None and told.detail.get(key) == told.value:
            numbers = (
                told.registered("n" if key == "ropes" else "d", name, told.value, unit),
            )
            return [
                one_line(told, name=name, formula_=numbers[0].symbol, numbers=numbers)
            ]
    return []
