"""Findings of masses read otherwise than registered, worked out by their own."""

import pytest
from django.utils import translation

from inspections import worked
from inspections.assessment.worse import AS_READ
from inspections.reasons import Topic
from inspections.worked import NumberOrigin, shown
from tests.inspections.assessment.snapshots import TODAY, V, snapshot, take
from tests.inspections.assessment.test_disagreeing import bands
from tests.inspections.assessment.test_traction_tests import FULL, run
from tests.inspections.worked.told import told_of

MACHINE = {"wrap_angle_deg": 104.0, "balance_ratio": 0.44}


def told():
    """Return the findings with a number, some by the register and some by readings."""
    passed = [run(case) for case in FULL]
    read = (take("balance_load", 0.66), take("car_mass", 1500.0))
    of = snapshot(*bands(1.5), *passed, *read, machine=MACHINE, geometry=V)
    return told_of(of)


def masses(each):
    return {
        (number.symbol, number.value)
        for part in worked.of(each).parts
        for line in part.lines
        for number in line.numbers
        if number.symbol == "P"
    }


def test_each_is_worked_out_by_the_masses_that_it_was_judged_with():
    found = told()

    traction = [
        f for f in found if f.topic.startswith("traction") and "slip" not in f.topic
    ]
    assert any("supposed" in f.detail for f in traction)
    assert any("supposed" not in f.detail for f in traction)
    for each in traction:
        if each.topic != str(Topic.TRACTION_TOGETHER):
            assert worked.of(each).is_whole, (each.topic, each.detail.get("case"))


def test_the_safety_factor_is_worked_out_by_the_heavier_car():
    [each] = [f for f in told() if f.topic == str(Topic.SAFETY_FACTOR)]

    assert worked.of(each).is_whole
    assert masses(each) == {("P", 1500.0)}


def numbers(each):
    return [
        number
        for part in worked.of(each).parts
        for line in part.lines
        for number in line.numbers
    ]


def origins(each, symbol):
    return {(n.origin, n.read_on) for n in numbers(each) if n.symbol == symbol}


READ = {(NumberOrigin.READING, TODAY)}
REGISTERED = {(NumberOrigin.REGISTER, None)}


def test_a_mass_that_was_read_is_called_so_and_a_registered_one_not():
    by_reading, by_register = 0, 0
    for each in told():
        for symbol, registered in (("P", 1200.0), ("q", 0.44)):
            values = {n.value for n in numbers(each) if n.symbol == symbol}
            if values == {registered}:
                assert origins(each, symbol) == REGISTERED
                by_register += 1
            elif values:
                assert origins(each, symbol) == READ
                by_reading += 1
    assert by_reading
    assert by_register


def test_a_counterweight_and_a_wrap_that_were_read_are_called_so():
    pulley = {
        "kind": "DEFLECTOR",
        "diameter_mm": 400.0,
        "offset_x_mm": 500.0,
        "drop_h_mm": 900.0,
        "bend": "SIMPLE",
    }
    read = (
        take("balance_load", 0.1),
        take("wrap_offset_x", 1500.0),
        take("wrap_drop_h", 500.0),
    )
    of = snapshot(
        *bands(3.5),
        *read,
        machine={"counterweight_mass_kg": 1650.0},
        geometry=V,
        pulleys=(pulley,),
    )
    decided = [each for each in told_of(of) if len(each.detail.get(AS_READ, ())) == 2]

    assert decided
    for each in decided:
        assert origins(each, "alpha") == READ
        assert origins(each, "G") <= READ
    assert any(origins(each, "G") for each in decided)


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "read on 4 May 2026, not from the register"),
        ("de", "gemessen am 4. Mai 2026, nicht aus den Bestandsdaten"),
    ],
)
def test_it_is_said_on_which_day_a_mass_was_read(language, said):
    [each] = [f for f in told() if f.topic == str(Topic.SAFETY_FACTOR)]
    [car] = [n for n in numbers(each) if n.symbol == "P"]

    with translation.override(language):
        assert shown.from_where(car) == said
