"""Force of the ropes on what hangs in an accelerated lift, with a printed gravity."""

from dataclasses import replace
from unittest.mock import patch

from inspections.engineering import tensions
from inspections.engineering.example import EXAMPLE_MACHINE


def car_force_n(mass_kg, acceleration_m_s2, *, roping=1, gravity_m_s2=9.8):
    """Force of weightless ropes on the car's side."""
    with patch.object(tensions, "GRAVITY_M_S2", gravity_m_s2):
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
