"""A machine to try the functions on; the examples in their documentation use it."""

from math import radians

from inspections.engineering.machine import Suspension
from inspections.engineering.wrap import WrapAngles

# 1:1, five ropes of 13 mm 8x19 with fibre core, no compensation.
EXAMPLE_MACHINE = Suspension(
    car_mass_kg=1200.0,
    rated_load_kg=1000.0,
    balance_ratio=0.45,
    counterweight_mass_kg=None,
    roping=1,
    travel_m=30.0,
    rated_speed_m_s=1.6,
    rope_count=5,
    rope_diameter_mm=13.0,
    rope_mass_kg_per_m=0.5746,
    compensation_kg_per_m=0.0,
    travelling_cable_kg_per_m=0.0,
    tension_device_kg=0.0,
    sheave_diameter_mm=520.0,
    wrap=WrapAngles(angles_rad=(radians(165.0),)),
    drive_stalls=False,
)
