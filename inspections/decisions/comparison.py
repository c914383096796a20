"""The options of one machine followed over a horizon, by drawing."""

from collections.abc import Sequence
from datetime import date

from inspections.decisions.records import (
    Comparison,
    MachineFacts,
    Offer,
    Option,
    Thresholds,
)


def compare(
    *,
    options: Sequence[Option],
    facts: MachineFacts,
    thresholds: Thresholds,
    as_of: date,
    seed: int,
    horizon_years: float = 15.0,
    draws: int = 2000,
) -> Comparison:
    """Return expected cost and visits out of service of each option."""
    raise NotImplementedError


def offers_of(*, options: Sequence[Option]) -> tuple[Offer, ...]:
    """Return what the future of a machine is followed with."""
    raise NotImplementedError
