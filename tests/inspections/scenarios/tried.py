"""An answer as it is stored, of a machine that never saw a database."""

from functools import cache
from typing import Any

from inspections import scenarios
from inspections.scenarios import answering
from tests.inspections.assessment.snapshots import snapshot, worn


@cache
def answer() -> Any:
    """Return what a lighter car is answered."""
    changes = scenarios.read({"car_mass_kg": 900.0})
    return answering.of_answer(scenarios.work_out(snapshot(*worn(2.5)), changes))
