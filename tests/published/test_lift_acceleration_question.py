"""Examination question: a rope that pulls twice as hard going up as going down.

The lift's acceleration is g/3.

Status: confirmed, read in the source.
"""

from dataclasses import replace

import pytest

from inspections.engineering import tensions
from inspections.engineering.example import EXAMPLE_MACHINE


@pytest.fixture(autouse=True)
def _printed_gravity(monkeypatch):
    monkeypatch.setattr(tensions, "GRAVITY_M_S2", 9.8)


def car_force_n(mass_kg, acceleration_m_s2, roping=1):
    """Force of weightless ropes on the car's side."""
    car_n, _ = tensions.rope_forces_n(
        suspension=replace(
            EXAMPLE_MACHINE,
            rope_mass_kg_per_m=1e-12,
            car_mass_kg=mass_kg,
            roping=roping,
        ),
        car_load_kg=0.0,
        car_height_m=10.0,
        acceleration_m_s2=acceleration_m_s2,
    )
    return car_n


def test_a_third_of_gravity_doubles_the_pull():
    a = 9.8 / 3

    assert car_force_n(800.0, a) == pytest.approx(2.0 * car_force_n(800.0, -a))
