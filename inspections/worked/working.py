"""Work a finding out again: the lines of its family, then its margin."""

from collections.abc import Callable, Mapping
from math import isclose

from inspections.reasons import Topic
from inspections.worked.families import (
    built,
    cuts,
    grooves,
    marks,
    ropes,
    sets,
    traction,
)
from inspections.worked.records import Line, Worked, WorkedLines
from inspections.worked.told import Told, of_rules, worked

_FAMILIES: Mapping[Topic, Callable[[Told], list[WorkedLines]]] = {
    Topic.TRACTION: traction.parts,
    Topic.TRACTION_OF_CASE: traction.parts,
    Topic.TRACTION_STALLED: traction.parts,
    Topic.SAFETY_FACTOR: built.safety,
    Topic.DIAMETER_RATIO: built.ratio,
    Topic.PRESSURE: built.pressure,
    Topic.NUMBER_OF_ROPES: sets.least_ropes,
    Topic.NOMINAL_DIAMETER: sets.least_ropes,
    Topic.ROPE_DIAMETER: ropes.diameter,
    Topic.BROKEN_WIRES: ropes.breaks,
    Topic.BOTTOM_CLEARANCE: grooves.clearance,
    Topic.SEAT_DEPTHS: grooves.depths,
    Topic.PULLEY_GROOVES: grooves.depths,
    Topic.CROWN_STEP: grooves.step,
    Topic.SEAT_FIT: grooves.fit,
    Topic.HARDENED: grooves.layer,
    Topic.CROWN_HEIGHT: grooves.heights,
    Topic.WAYS: grooves.heights,
    Topic.LEVELLING: grooves.levelling,
    Topic.PAIR: grooves.pair,
    Topic.CREEP: marks.offset,
    Topic.NEXT_CUT: cuts.left,
    Topic.DRYNESS: ropes.in_words,
    Topic.WETNESS: ropes.in_words,
    Topic.TWIST: ropes.in_words,
    Topic.WORN_OR_RUSTED: ropes.in_words,
    Topic.SHAPE: ropes.in_words,
    Topic.ROUGE: ropes.seen,
    Topic.LAY_LENGTH: ropes.seen,
    Topic.OUTER_WIRES: ropes.seen,
    Topic.CROWN_FLAT_SEALE: ropes.seen,
    Topic.CROWN_FLAT_WARRINGTON: ropes.seen,
    Topic.CROWN_FLAT_FILLER: ropes.seen,
    Topic.RIM_METAL: grooves.metal,
    Topic.ROPE_TENSION: sets.tension,
    Topic.TENSION_SWING: sets.swing,
    Topic.CAR_SPEED: sets.speed,
    Topic.RIM_HARDNESS: sets.hardness,
    Topic.COUNTERWEIGHT_RUNBY: sets.runby,
    Topic.CAR_RUNBY: sets.runby,
}


def of(told: Told) -> Worked:
    """Return the worked calculation of a finding.

    A line whose numbers do not give its result is left out: it was worked out by
    other rules than these, and `is_whole` is false.
    """
    family = _FAMILIES.get(Topic(told.topic)) if told.topic in set(Topic) else None
    found = family(told) if family is not None else []
    parts, is_whole = [], bool(found)
    for part in found:
        held = tuple(line for line in part.lines if line.digits is not None)
        is_whole = is_whole and len(held) == len(part.lines)
        if held:
            parts.append(WorkedLines(name=part.name, lines=held))
    is_whole = is_whole and _gives(parts[0], told)
    margin = _margin(told)
    if margin is not None and not told.topic.startswith(_ITS_OWN_MARGIN):
        parts.append(WorkedLines(name="margin", lines=(margin,)))
    return Worked(parts=tuple(parts), is_whole=is_whole)


# The value of traction is a margin already; each case works its own out.
_ITS_OWN_MARGIN = "traction"


def _gives(first: WorkedLines, told: Told) -> bool:
    """Return whether the part that decides ends in the value of the finding."""
    wanted = told.value or 0.0
    return isclose(first.lines[-1].value, wanted, rel_tol=1e-9, abs_tol=1e-12)


def _margin(told: Told) -> Line | None:
    """Return the margin from value and limit, on whichever side the limit is."""
    if told.value is None or told.limit is None or told.margin is None:
        return None
    numbers = (
        worked("x", "value", told.value, told.unit),
        of_rules("L", "limit", told.limit, told.unit),
    )
    lines = (
        Line(
            symbol="m",
            name="margin",
            value=told.margin,
            unit=told.unit,
            formula=text,
            numbers=numbers,
        )
        for text in ("x-L", "L-x")
    )
    return next((line for line in lines if line.digits is not None), None)
