"""Ropes: their diameter, and broken wires, as they were read."""

from collections.abc import Iterator, Mapping
from typing import Any

from inspections.engineering import discard
from inspections.reasons import Topic
from inspections.worked.families.built import one_line
from inspections.worked.families.matching import first_that_gives
from inspections.worked.records import Number, NumberOrigin, WorkedLines
from inspections.worked.told import Told, read

_COUNTS = (
    "breaks_total",
    "breaks_worst_strand",
    "breaks_two_worst_strands",
    "breaks_adjacent",
    "breaks_valley",
)
_OF_A_COUNT = ("total", "worst_strand", "two_worst_strands", "adjacent", "valley")

# What a word says of a rope: the value is 1 where it was this, else 0.
_IN_WORDS: Mapping[str, tuple[str, object, str]] = {
    Topic.DRYNESS: ("lubrication", "dry", "dry"),
    Topic.WETNESS: ("lubrication", "wet", "wet"),
    Topic.TWIST: ("twist_seen", True, "twist"),
    Topic.WORN_OR_RUSTED: ("wires_worn_or_rusted", True, "worn_or_rusted"),
    Topic.SHAPE: ("deformation_seen", True, "deformed"),
}


def diameter(told: Told) -> list[WorkedLines]:
    """Return the diameter, its loss, or the loss in percent, as the rule asks."""
    seen = told.detail.get("observations", ())
    found = first_that_gives(told.value, _diameters(told, seen))
    if found is None:
        return []
    text, numbers = found
    return [one_line(told, name="rope_diameter", formula_=text, numbers=numbers)]


def _diameters(
    told: Told, seen: list[Mapping[str, Any]]
) -> Iterator[tuple[str, tuple[Number, ...]]]:
    for each in seen:
        nominal = told.registered(
            "d_0", "nominal_diameter_mm", each["nominal_diameter_mm"], "mm"
        )
        for value in each.get("diameters_mm", ()):
            at = read("d", "rope_diameter", value, "mm")
            if told.unit == "%" and "nominal" in told.rule:
                yield "100*(d_0-d)/d_0", (nominal, at)
            elif told.unit == "%":
                for unworn in _unworn(each):
                    yield "100*(d_u-d)/d_u", (unworn, at)
            elif "loss" in told.rule:
                yield "d_0-d", (nominal, at)
            else:
                yield "d", (at,)


def _unworn(seen: Mapping[str, Any]) -> Iterator[Number]:
    """Yield it as measured; else what is usual, and the ends of what is plausible."""
    measured = seen.get("unworn_diameter_mm")
    if measured is not None:
        yield read("d_u", "unworn_diameter", measured, "mm")
        return
    usual = discard.unworn_range_mm(nominal_diameter_mm=seen["nominal_diameter_mm"])
    for value in (usual.typical, usual.low, usual.high):
        yield Number(
            symbol="d_u",
            name="unworn_diameter",
            value=value,
            unit="mm",
            origin=NumberOrigin.ASSUMED,
            low=usual.low,
            high=usual.high,
        )


def breaks(told: Told) -> list[WorkedLines]:
    """Return the count, or the counts, that the limit is held against."""
    found = first_that_gives(told.value, _counts(told.detail.get("observations", ())))
    if found is None:
        return []
    text, numbers = found
    return [one_line(told, name="broken_wires", formula_=text, numbers=numbers)]


def _counts(
    seen: list[Mapping[str, Any]],
) -> Iterator[tuple[str, tuple[Number, ...]]]:
    """Yield counts as they were read; then what one or two strands make certain."""
    counted = [
        (name, each[name]) for each in seen for name in _COUNTS if name in each
    ] + [
        (f"breaks_{name}", count[name])
        for each in seen
        for count in each.get("further", ())
        for name in _OF_A_COUNT
        if count.get(name) is not None
    ]
    for name, value in counted:
        yield "n", (read("n", name, value, "wires"),)
    strands = seen[0].get("strands") if seen else None
    for name, value in counted:
        number = read("n", name, value, "wires")
        if strands:
            # Some strand has its share of all at least.
            yield "ceil(n/s)", (number, _strands(strands))
            yield "ceil(2*n/s)", (number, _strands(strands))
        # Two strands have at most twice what the worst has; more than half of all lie
        # in two only up to one less than twice theirs; a fifth of 30 d is in one lay.
        for text in ("2*n", "2*n-1", "ceil(n/5)", "ceil(n/2)"):
            yield text, (number,)


def _strands(strands: int) -> Number:
    return Number(
        symbol="s", name="strands", value=float(strands), origin=NumberOrigin.REGISTER
    )


def seen(told: Told) -> list[WorkedLines]:
    """Return what was seen of a rope besides: rouge, flats of wires, growth of lay."""
    found = first_that_gives(told.value, _seen(told.detail.get("observations", ())))
    if found is None:
        return []
    text, numbers = found
    return [one_line(told, name="as_read", formula_=text, numbers=numbers)]


def _seen(
    rows: list[Mapping[str, Any]],
) -> Iterator[tuple[str, tuple[Number, ...]]]:
    for each in rows:
        now, new = each.get("lay_length_mm"), each.get("lay_length_as_fitted_mm")
        if now and new:
            both = (
                read("l", "lay_length", now, "mm"),
                read("l_0", "lay_length_as_fitted", new, "mm"),
            )
            yield "100*(l-l_0)/l_0", both
        for name, unit in (("crown_flat_mm", "mm"), ("rouge", "")):
            if each.get(name) is not None:
                yield "x", (read("x", name, float(each[name]), unit),)
        worn = each.get("outer_wire_wear_ratio")
        if worn is not None:
            yield "100*x", (read("x", "outer_wire_wear_ratio", worn),)


def in_words(told: Told) -> list[WorkedLines]:
    """Return what was seen of a rope and answered in a word: 1 for yes, 0 for no."""
    column, symptom, name = _IN_WORDS[told.topic]
    answers = [
        float(each[column] == symptom)
        for each in told.detail.get("observations", ())
        if each.get(column) is not None
    ]
    if told.value is None or told.value not in answers:
        return []
    as_seen = (read("x", name, told.value),)
    return [one_line(told, name="as_read", formula_="x", numbers=as_seen)]
