"""Forces in the ropes of a lift, for answers worked with g = 9.8 m/s²."""

from dataclasses import replace

from inspections.engineering import tensions
from inspections.engineering.example import EXAMPLE_MACHINE

PRINTED_GRAVITY_M_S2 = 9.8


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
