"""Marks on ropes after round trips: the largest offset, and what creep allows."""

from inspections.engineering import slip
from inspections.worked.families.built import one_line
from inspections.worked.families.grooves import MOST_LISTED, several
from inspections.worked.families.matching import first_that_gives
from inspections.worked.records import Line, Number, NumberOrigin, WorkedLines
from inspections.worked.told import Told, of_rules, worked


def offset(told: Told) -> list[WorkedLines]:
    """Return the largest offset of one trip, and the limit from the usual creep."""
    marks = told.detail.get("marks")
    if told.value is None or not marks or not marks["offsets_mm"]:
        return []
    # Of many runs the largest alone says the same.
    values = sorted(marks["offsets_mm"], key=abs)[-MOST_LISTED:]
    numbers, _ = several("o", "mark_offset", values, "mm")
    text = f"max({','.join(f'abs({each.symbol})' for each in numbers)})"
    found = first_that_gives(told.value, [(text, numbers)])
    if found is None:
        return []
    value = one_line(told, name="mark_offset", formula_=text, numbers=numbers)
    return [value, *_limit(told)]


def _limit(told: Told) -> list[WorkedLines]:
    creep, marks = told.detail.get("creep_mm"), told.detail["marks"]
    if not creep or told.limit is None:
        return []
    numbers = (
        of_rules("q", "creep_factor", slip.CREEP_FACTOR),
        _creep(creep),
        of_rules("n", "noise_factor", slip.NOISE_FACTOR),
        of_rules("u", "offset_sd", marks["offset_sd_mm"], "mm"),
        of_rules("f", "least_offset", slip.FLOOR_MM, "mm"),
    )
    found = first_that_gives(told.limit, [("max(q*c,n*u,f)", numbers)])
    if found is None:
        return []
    line = Line(
        symbol="L",
        name="limit",
        value=told.limit,
        unit=told.unit,
        formula=found[0],
        numbers=numbers,
    )
    return [WorkedLines(name="limit", lines=(line,))]


def _creep(creep: dict[str, float]) -> Number:
    """Return the usual creep of a trip; of one that is not sure its range too."""
    if creep["low"] == creep["high"]:
        return worked("c", "creep_of_a_trip", creep["typical"], "mm")
    return Number(
        symbol="c",
        name="creep_of_a_trip",
        value=creep["typical"],
        unit="mm",
        origin=NumberOrigin.ASSUMED,
        low=creep["low"],
        high=creep["high"],
    )
