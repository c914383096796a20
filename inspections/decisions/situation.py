"""A machine on a day with everything that its options share, worked out once."""

from dataclasses import dataclass
from datetime import date

from inspections.decisions import matters, planned_cut
from inspections.decisions.matters import Matter, MatterSubject
from inspections.decisions.planned_cut import PlannedCut
from inspections.decisions.records import (
    AheadLimit,
    LeadTimes,
    MachineFacts,
    OptionKind,
    Rates,
    Thresholds,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What the options of one machine are worked out from.

    matters : everything that asks for work
    cut : what came of planning a cut
    """

    facts: MachineFacts
    rates: Rates
    lead_times: LeadTimes
    thresholds: Thresholds
    as_of: date
    matters: tuple[Matter, ...]
    cut: PlannedCut

    @property
    def is_out_of_service(self) -> bool:
        """Whether the machine is to stand until a competent person has decided."""
        return any(matter.stops for matter in self.matters)

    @property
    def findings(self) -> tuple[Matter, ...]:
        """Return the open findings alone."""
        return tuple(matter for matter in self.matters if matter.is_finding)

    def is_asked(self, *subjects: MatterSubject) -> bool:
        """Return whether something open or near is about one of some subjects."""
        return any(matter.subject in subjects for matter in self.matters)

    def has_open(self, *subjects: MatterSubject) -> bool:
        """Return whether a finding about one of some subjects is open."""
        return any(matter.subject in subjects for matter in self.findings)

    def limits_of(self, *subjects: MatterSubject) -> tuple[AheadLimit, ...]:
        """Return the limits ahead that are about some subjects."""
        return tuple(
            limit
            for limit in self.facts.ahead
            if matters.OF_QUANTITY.get(limit.quantity) in subjects
        )

    def limits_renewed(self, kind: OptionKind) -> tuple[AheadLimit, ...]:
        """Return the limits that begin anew with a kind of work."""
        return tuple(
            limit
            for limit in self.facts.ahead
            if kind in matters.ANSWERED_BY[_subject(limit)] and kind.is_work
        )


def _subject(limit: AheadLimit) -> MatterSubject:
    return matters.OF_QUANTITY.get(limit.quantity, MatterSubject.ASIDE)


def take(
    *,
    facts: MachineFacts,
    rates: Rates,
    lead_times: LeadTimes,
    thresholds: Thresholds,
    as_of: date,
) -> Situation:
    """Return the situation of a machine on a day."""
    return Situation(
        facts=facts,
        rates=rates,
        lead_times=lead_times,
        thresholds=thresholds,
        as_of=as_of,
        matters=matters.of_machine(facts=facts, thresholds=thresholds, as_of=as_of),
        cut=planned_cut.plan(facts=facts, thresholds=thresholds),
    )
