"""The file of gauges: brought in and taken out as the register's files are."""

from fleet.register.exchange.resource import Resource
from inspections.models import Gauge

GAUGES = Resource(
    name="gauges",
    model=Gauge,
    key=("code",),
    meanings={
        "resolution_mm": "The least step that it shows",
        "repeatability_mm": "Standard deviation of repeated readings",
        "checked_on": "Day it was last checked against a standard",
        "calibration_due_on": "Day by which it must be calibrated again",
    },
    example={
        "code": "plate-1",
        "name": "plate calliper, digital",
        "resolution_mm": "0.01",
        "repeatability_mm": "0.03",
        "checked_on": "2026-05-29",
        "calibration_due_on": "2027-05-31",
    },
)
