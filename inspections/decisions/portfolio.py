"""A machine as the budget follows it, from its facts and options."""

from collections.abc import Sequence
from datetime import date

from inspections.decisions import matters
from inspections.decisions.comparison import offers_of
from inspections.decisions.records import (
    MachineFacts,
    Option,
    OptionKind,
    PlannedMachine,
    Possible,
)


def machine_of(
    *,
    facts: MachineFacts,
    options: Sequence[Option],
    chosen: OptionKind | None = None,
    planned_on: date | None = None,
) -> PlannedMachine:
    """Return a machine for the budget.

    facts : its facts
    options : all its options
    chosen, planned_on : work the office has chosen, and its day; None for none

    Where nothing is chosen and a finding is open, the option that stands first is
    taken as planned on its own day: the finding asks for money whatever the forecasts
    say. Not where that is to measure, or not possible.
    """
    if chosen is None and any(map(matters.is_open, facts.findings)):
        first = min(options, key=lambda option: option.rank)
        if first.kind.is_work and first.possible is not Possible.NO:
            chosen, planned_on = first.kind, first.plan_before_on
    return PlannedMachine(
        machine_key=facts.machine_key,
        ahead=facts.ahead,
        offers=offers_of(options=options),
        chosen=chosen,
        planned_on=planned_on,
        stands=any(option.out_of_service for option in options),
    )
