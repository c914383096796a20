"""Printed rope forces of lifts at rest and being accelerated.

Status: confirmed, read in each source (public question-and-answer pages), all
with g = 9.8 m/s²:
- lift of 500 kg: 4900 N at rest, 5900 N at 2 m/s² upwards, 3900 N at 2 m/s²
  downwards;
- two blocks of 13 kg in a lift at 1.6 m/s²: 148.2 N below, 296.4 N above;
- a lift whose rope pulls twice as hard going up as going down: a = g/3.
University of Oklahoma statics e-book, section 3.1 (confirmed): a car of
5000 lb on two cables, 2500 lb each, 1250 lb in the rope of the moving pulley.
"""

from dataclasses import replace

import pytest

from inspections.engineering import tensions
from inspections.engineering.example import EXAMPLE_MACHINE

WEIGHTLESS_ROPES = replace(EXAMPLE_MACHINE, rope_mass_kg_per_m=1e-12)


@pytest.fixture(autouse=True)
def _printed_gravity(monkeypatch):
    monkeypatch.setattr(tensions, "GRAVITY_M_S2", 9.8)


def car_force_n(mass_kg, acceleration_m_s2, roping=1):
    machine = replace(WEIGHTLESS_ROPES, car_mass_kg=mass_kg, roping=roping)
    car_n, _ = tensions.rope_forces_n(
        suspension=machine,
        car_load_kg=0.0,
        car_height_m=10.0,
        acceleration_m_s2=acceleration_m_s2,
    )
    return car_n


@pytest.mark.parametrize(
    ("mass_kg", "acceleration_m_s2", "printed_n"),
    [
        (500.0, 0.0, 4900.0),
        (500.0, 2.0, 5900.0),
        (500.0, -2.0, 3900.0),
        (13.0, 1.6, 148.2),
        (26.0, 1.6, 296.4),
    ],
)
def test_matches_the_printed_force(mass_kg, acceleration_m_s2, printed_n):
    assert car_force_n(mass_kg, acceleration_m_s2) == pytest.approx(printed_n)


def test_a_third_of_gravity_doubles_the_pull():
    a = 9.8 / 3

    assert car_force_n(800.0, a) == pytest.approx(2.0 * car_force_n(800.0, -a))


def test_moving_pulley_halves_the_force_of_the_cable():
    per_cable_n = car_force_n(2500.0, 0.0)

    in_rope_n = car_force_n(2500.0, 0.0, roping=2)

    assert in_rope_n / per_cable_n == pytest.approx(1250 / 2500)
