"""Worked calculations give what is printed, by an independent way of working out."""

import math
from dataclasses import replace
from functools import cache
from statistics import fmean

import pytest
from django.utils import translation
from scipy.integrate import quad

from inspections import worked
from inspections.engineering.groove import VGroove
from inspections.engineering.groove.contact import arcs_at
from inspections.engineering.traction import friction_factor_ratio
from inspections.reasons import Topic
from inspections.worked import formula, words
from inspections.worked.families import friction
from inspections.worked.records import RESULT_DIGITS
from tests.inspections.worked.told import told_of
from tests.versions.cases import case

# Every form, rope, roping and criteria set comes round in these.
CASES = range(0, 1000, 23)
# The margin is the least over ranges of several things at once, and has no one formula.
NO_FORMULA = {Topic.TRACTION_TOGETHER}
FAMILIES = {
    Topic.TRACTION,
    Topic.TRACTION_STALLED,
    Topic.TRACTION_OF_CASE,
    Topic.BOTTOM_CLEARANCE,
    Topic.BROKEN_WIRES,
    Topic.ROPE_DIAMETER,
    Topic.SAFETY_FACTOR,
    Topic.DIAMETER_RATIO,
    Topic.PRESSURE,
    Topic.ROPE_TENSION,
    Topic.TENSION_SWING,
    Topic.SEAT_DEPTHS,
    Topic.CROWN_HEIGHT,
    Topic.CAR_SPEED,
    Topic.RIM_HARDNESS,
}
# Python's own arithmetic, which knows nothing of ours.
KNOWN = {
    **{name: getattr(math, name) for name in ("exp", "sin", "cos", "sqrt", "ceil")},
    "ln": math.log,
    "lg": math.log10,
    "abs": abs,
    "max": lambda *values: max(values),
    "min": lambda *values: min(values),
    "mean": lambda *values: fmean(values),
}


@cache
def told():
    """Return every finding with a number of the cases."""
    return [each for number in CASES for each in told_of(case(number))]


def lines(each):
    return [line for part in worked.of(each).parts for line in part.lines]


def test_every_family_is_there_and_every_value_is_worked_out():
    open_ones = {each.topic for each in told() if not worked.of(each).is_whole}

    assert {each.topic for each in told()} >= FAMILIES
    assert open_ones <= NO_FORMULA


def test_the_printed_numbers_of_every_line_give_its_printed_result():
    looked_at = 0
    for each in told():
        for line in lines(each):
            given = {
                number.symbol: float(formula.printed(number.value, line.digits))
                for number in line.numbers
            }
            found = eval(line.formula, {"__builtins__": {}}, KNOWN | given)

            assert formula.printed(found, RESULT_DIGITS) == formula.printed(
                line.value, RESULT_DIGITS
            ), line
            looked_at += 1
    assert looked_at > 1500


def test_the_lines_of_a_calculation_lead_to_each_other():
    for each in told():
        for part in worked.of(each).parts:
            before = {}
            for line in part.lines:
                for number in line.numbers:
                    if number.symbol in before and number.origin == "WORKED":
                        assert number.value == before[number.symbol]
                before[line.symbol] = line.value


@pytest.mark.parametrize("topic", sorted(FAMILIES))
def test_a_value_that_the_numbers_do_not_give_is_not_called_worked_out(topic):
    each = next(one for one in told() if one.topic == topic)
    other = replace(each, value=(each.value or 1.0) * 1.01)

    assert worked.of(each).is_whole
    assert not worked.of(other).is_whole


def test_margins_are_on_the_good_side_of_the_limit():
    for each in told():
        found = [part for part in worked.of(each).parts if part.name == "margin"]
        if each.limit is None or each.topic.startswith("traction"):
            assert not found
        # One that is nothing but rounding is no margin to be shown.
        elif each.margin is not None and abs(each.margin) > 1e-9:
            [line] = found[0].lines
            assert line.value == each.margin
            assert line.formula in ("x-L", "L-x")


def test_what_the_register_lacks_is_called_assumed_with_its_range():
    assumed = [
        number
        for each in told()
        for line in lines(each)
        for number in line.numbers
        if number.origin == "ASSUMED"
    ]

    assert {"car_mass_kg", "unworn_diameter"} <= {each.name for each in assumed}
    assert all(each.low < each.high for each in assumed)


def test_every_name_has_words_and_german():
    used = {
        name
        for each in told()
        for part in worked.of(each).parts
        for line in part.lines
        for name in (part.name, line.name, *(n.name for n in line.numbers))
    }

    assert used <= set(words.NAMES)
    with translation.override("de"):
        same = [
            text
            for text in (*words.NAMES.values(), *words.ORIGINS.values())
            if words.said(text) == text
        ]
    assert same == []


def test_formulas_are_written_as_people_write_them():
    text = "10**(2.6834-lg(695.85e6*N/R**8.567)/lg(77.09*R**-2.894))"

    assert formula.written(text) == (
        "10^(2.6834 − lg(695.85 · 10^6 · N / R^8.567) / lg(77.09 · R^−2.894))"
    )
    assert formula.written("mu*(k1*alpha1+k2*alpha2)") == "μ · (k₁ · α₁ + k₂ · α₂)"
    assert formula.written("max(T1,T2)-b") == "max(T₁; T₂) − b"


def by_integration(line):
    at = {number.symbol: number.value for number in line.numbers}
    arcs = [(0.0, at["theta0"])] if "theta0" in at else []
    arcs += [(at["theta1"], at["theta2"])] if "theta1" in at else []
    pressed = sum(quad(math.cos, *arc)[0] for arc in arcs)
    return pressed / sum(quad(lambda t: math.cos(t) ** 2, *arc)[0] for arc in arcs)


def test_the_friction_factor_follows_from_where_the_rope_bears():
    """By SciPy's integration of the pressure over the arcs, not by our formula."""
    found = [x for each in told() for x in lines(each) if x.symbol.startswith("k")]

    assert len(found) > 50
    for line in found:
        assert line.value == pytest.approx(by_integration(line), rel=1e-9)


@pytest.mark.parametrize("depth_mm", [2.0, 5.7, 6.5, 14.0])
def test_the_friction_factor_follows_past_the_bottom_too(depth_mm):
    vee = VGroove(groove_angle_rad=math.radians(35), bottom_width_mm=6.0)
    bears = arcs_at(groove=vee, rope_diameter_mm=13.0, seat_depth_mm=depth_mm)
    ratio = friction_factor_ratio(arcs_rad=bears)

    [line] = friction.of_seat(
        groove=vee,
        rope_diameter_mm=13.0,
        seat_depth_mm=depth_mm,
        ratio=ratio,
        is_greatest=False,
        symbol="k",
    )

    assert len(line.numbers) == {2: 2, 3: 3, 1: 1}[len(bears)]
    assert line.value == ratio == pytest.approx(by_integration(line), rel=1e-9)
    assert line.digits is not None
