"""How much one reading of a kind scatters, where its gauge does not say.

Standard deviations of one recorded value, operator and place included. Judgement from
permissible errors of hand gauges (DIN 862 for callipers) and placement; common
practice, no source for the whole.
"""

from math import sqrt

from inspections.models import Reading

NOISE_MM = {
    "rope_diameter": 0.08,
    "rope_crown_height": 0.10,
    "rope_crown_step": 0.08,
    "seat_band_width": 0.20,
    "groove_bottom_depth": 0.10,
    "bottom_clearance": 0.15,
    "rim_thickness": 0.15,
    "underside_runout": 0.10,
    "cwt_runby": 3.0,
    "car_runby": 3.0,
}


def of(reading: Reading) -> float:
    """Return the standard deviation of a reading in millimetres."""
    gauge = reading.gauge
    usual = NOISE_MM[reading.kind]
    if gauge is None or gauge.repeatability_mm is None:
        return usual
    step = gauge.resolution_mm or 0.0
    # Placement on rope or groove does not vanish with a finer gauge: half the usual.
    return max(
        sqrt(gauge.repeatability_mm**2 + step**2 / 12.0),
        0.5 * usual,
    )
