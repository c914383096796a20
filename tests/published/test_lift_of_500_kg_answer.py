"""Worked answer on a lift of 500 kg, g = 9.8 m/s² (public page 1461601).

4900 N at rest, 5900 N at 2 m/s² upwards, 3900 N at 2 m/s² downwards.

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


@pytest.mark.parametrize(
    ("acceleration_m_s2", "printed_n"), [(0.0, 4900.0), (2.0, 5900.0), (-2.0, 3900.0)]
)
def test_matches_the_printed_force(acceleration_m_s2, printed_n):
    assert car_force_n(500.0, acceleration_m_s2) == pytest.approx(printed_n)
