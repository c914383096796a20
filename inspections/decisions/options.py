"""Everything that can be done about one machine, worked out and put in order."""

from datetime import date

from inspections.decisions import kinds_of_work, ranking, situation
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
    """Return one option of every kind, the first in rank first.

    `rank` says the order; at most the first is recommended. An option of a kind that
    cannot be taken is there too, with its reasons.
    """
    found = situation.take(
        facts=facts,
        rates=rates,
        lead_times=lead_times,
        thresholds=thresholds,
        as_of=as_of,
    )
    return ranking.ranked(situation=found, options=kinds_of_work.every(situation=found))
