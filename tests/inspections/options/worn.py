"""A machine with six years of readings, near its limit, as the workers leave it."""

from datetime import UTC, datetime

from inspections import assessment, forecasts, options
from tests import callers, factories

AT = datetime(2026, 5, 1, tzinfo=UTC)
# Clearance left under the ropes, year by year: 4.0 mm as cut in 2020.
CLEARANCE_MM = {2021: 3.4, 2022: 2.9, 2023: 2.3, 2024: 1.8, 2025: 1.2, 2026: 0.8}


def read(cast, *, clearances_mm=None):
    """Send the readings of every year, as a technician would."""
    for year, clearance_mm in (clearances_mm or CLEARANCE_MM).items():
        readings = [
            {"reference": f"{year}-{kind}-{n}", "kind": kind, where: n, "unit": "mm"}
            | {"value": f"{value:.2f}"}
            for n in range(1, 6)
            for kind, where, value in (
                ("bottom_clearance", "groove", clearance_mm),
                ("rope_diameter", "rope", 13.0),
            )
        ]
        body = factories.upload(
            *readings, reference=f"v-{year}", visited_at=f"{year}-04-15T10:00:00+01:00"
        )
        answer = callers.upload(cast, body)
        assert answer.json()["counts"] == {"stored": 10}, answer.content


def look(cast, at=AT):
    """Assess, forecast and work out the options, as the workers would."""
    callers.confine(cast)
    machine = factories.machine(cast.scope())
    how = {"scope": cast.scope(), "machine_ids": [machine.pk], "as_of": at}
    assessment.assess(**how)
    forecasts.project(**how)
    options.recompute(**how)
    return machine


def machine(cast):
    """Return the machine, read and looked at."""
    read(cast)
    return look(cast)
