"""How much one reading of a kind scatters, where its gauge does not say.

Standard deviations of one recorded value, operator and place included. Judgement from
permissible errors of hand gauges (DIN 862 for callipers) and placement; common
practice, no source for the whole.
"""

from functools import lru_cache
from math import sqrt

from inspections.kinds import KINDS
from inspections.models import Reading

NOISE_MM = {
    kind.code: kind.noise_mm for kind in KINDS.values() if kind.noise_mm is not None
}


def of(reading: Reading) -> float:
    """Return the standard deviation of a reading in millimetres."""
    gauge = reading.gauge
    usual = NOISE_MM[reading.kind]
    if gauge is None or gauge.repeatability_mm is None:
        return usual
    return _of_gauge(usual, gauge.repeatability_mm, gauge.resolution_mm or 0.0)


@lru_cache(maxsize=1024)
def _of_gauge(usual_mm: float, repeatability_mm: float, step_mm: float) -> float:
    # Placement on rope or groove does not vanish with a finer gauge: half the usual.
    return max(sqrt(repeatability_mm**2 + step_mm**2 / 12.0), 0.5 * usual_mm)
