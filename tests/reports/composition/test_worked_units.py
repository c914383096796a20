"""Numbers put in, in the reader's own units beside those of the rules."""

from datetime import UTC
from math import radians

import pytest
from django.utils import translation

from reports.composition import worked_units
from reports.composition.reader import Reader

METRIC = Reader(family="METRIC", zone=UTC)
INCH = Reader(family="INCH", zone=UTC)


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (1150.0, "kg", "2535 lb"),
        (24.0, "m", "78.74 ft"),
        (1000.0, "N", "224.8 lbf"),
        (12.7, "mm", "0.5 in"),
        (1.6, "m/s", "315 ft/min"),
        (3.45, "kg/m", "2.318 lb/ft"),
    ],
)
def test_an_inch_reader_sees_each_number_in_inch_units(value, unit, shown):
    assert worked_units.beside(value, unit, reader=INCH) == shown
    assert worked_units.beside(value, unit, reader=METRIC) == ""


def test_angles_are_in_degrees_for_everybody():
    assert worked_units.beside(radians(160), "rad", reader=METRIC) == "160°"
    said = worked_units.ranged(
        "wrap_angle_rad", radians(158.5), radians(161.5), reader=METRIC
    )
    assert said == "158.5 to 161.5°"


def test_a_range_carries_the_unit_of_its_name():
    given = {"name": "car_mass_kg", "low": 1120.0, "high": 1180.0}

    assert worked_units.ranged(**given, reader=METRIC) == "1120 to 1180 kg"
    assert worked_units.ranged(**given, reader=INCH) == "2469 to 2601 lb"
    assert worked_units.ranged("balance_ratio", 0.43, 0.47, reader=INCH) == (
        "0.43 to 0.47"
    )


def test_german_reads_a_comma():
    with translation.override("de"):
        assert worked_units.beside(24.0, "m", reader=INCH) == "78,74 ft"
