"""Worked answer on two blocks of 13 kg in a lift at 1.6 m/s², g = 9.8 m/s².

148.2 N in the lower rope, 296.4 N in the upper.

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


@pytest.mark.parametrize(("mass_kg", "printed_n"), [(13.0, 148.2), (26.0, 296.4)])
def test_matches_the_printed_force(mass_kg, printed_n):
    assert car_force_n(mass_kg, 1.6) == pytest.approx(printed_n)
