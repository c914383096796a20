"""Everything that can be done about one machine, worked out and put in order."""

from datetime import date

from inspections.decisions.records import (
    LeadTimes,
    MachineFacts,
    Option,
    Rates,
    Thresholds,
)


def work_out(
    *,
    facts: MachineFacts,
    rates: Rates,
    lead_times: LeadTimes,
    thresholds: Thresholds,
    as_of: date,
) -> tuple[Option, ...]:
    """Return one option of every kind, the first in rank first."""
    raise NotImplementedError
