"""University of Oklahoma statics e-book, section 3.1, example of a lift.

A car of 5000 lb on two cables, 2500 lb each; 1250 lb in the rope of the moving
pulley.

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


def test_moving_pulley_halves_the_force_of_the_cable():
    per_cable_n = car_force_n(2500.0, 0.0)

    in_rope_n = car_force_n(2500.0, 0.0, roping=2)

    assert in_rope_n / per_cable_n == pytest.approx(1250 / 2500)
