"""Work and cost of a portfolio by quarter, from the joint distribution."""

from collections.abc import Iterable
from datetime import date

from inspections.decisions.records import Budget, PlannedMachine, Thresholds


def by_quarter(
    *,
    machines: Iterable[PlannedMachine],
    thresholds: Thresholds,
    as_of: date,
    seed: int,
    quarters: int = 12,
    draws: int = 1000,
) -> Budget:
    """Return counts and cost of the coming quarters with P10 and P90."""
    raise NotImplementedError
