"""What every option says in the same way: what it answers, by when, at what cost."""

from typing import Any

from inspections.decisions import costing, timing
from inspections.decisions.matters import Matter
from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    SourcedReason,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.engineering import blocks
from inspections.engineering.blocks import Blocked, BlockFacts
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Reason, Term, because

NOT_AN_ORDER = because(Code.CAUTION_NOT_AN_ORDER)
COMPETENT = because(Code.CAUTION_COMPETENT)
# Upkeep that answers no finding.
_UPKEEP = (OptionKind.DEGREASE, OptionKind.LUBRICATE)
DEGREASE_FIRST = because(Code.CAUTION_DEGREASE_FIRST)
_NOTHING_ASKED = sourced(Code.NOTHING_ASKED)


def blocked_by(
    *, situation: Situation, what: Blocked, facts: BlockFacts
) -> tuple[SourcedReason, ...]:
    """Return what blocks a work, with the source of each reason."""
    found = blocks.find(facts=facts, criteria_set=situation.facts.criteria_set)
    return tuple(
        SourcedReason(said=block.reason, sources=(Term.COMMON_PRACTICE,))
        for block in found
        if block.what is what
    )


def draft(
    *, situation: Situation, kind: OptionKind, possible: Possible, **rest: Any
) -> Option:
    """Return an option with what all of them have, and the rest as given."""
    answered = tuple(m for m in situation.matters if kind in m.answered_by)
    left = tuple(m for m in situation.matters if kind not in m.answered_by)
    renewed = situation.limits_renewed(kind)
    when = timing.of_option(
        kind=kind,
        answered=answered,
        renewed=renewed,
        lead_times=situation.lead_times,
        within_years=situation.thresholds.value("open_finding_years"),
        as_of=situation.as_of,
    )
    blocked = rest.pop("blocked_because", ())
    pointless = rest.pop("pointless_because", ())
    if kind.is_work and kind not in _UPKEEP and not answered:
        pointless = (*pointless, _NOTHING_ASKED)
    return Option(
        kind=kind,
        possible=_possible(situation, kind, possible, bool(blocked)),
        blocked_because=blocked,
        pointless_because=pointless,
        addresses=tuple(matter.key for matter in answered),
        leaves_open=tuple(matter.key for matter in left),
        leaves_stop_open=any(matter.stops for matter in left),
        limits_renewed=tuple(limit.key for limit in renewed),
        measure_before=_measure(situation, kind, rest.pop("measure_before", ())),
        plan_before_on=when.plan_before_on,
        order_by_on=when.order_by_on,
        lead_days=when.lead_days,
        cost=costing.estimate(kind=kind, facts=situation.facts, rates=situation.rates),
        out_of_service=situation.is_out_of_service,
        cautions=(*_cautions(situation, kind), *rest.pop("cautions", ())),
        reasons=(*rest.pop("reasons", ()), *when.reasons, *_answers(answered)),
        **rest,
    )


def _possible(
    situation: Situation, kind: OptionKind, possible: Possible, blocked: bool
) -> Possible:
    if blocked or possible is Possible.NO:
        return Possible.NO
    if situation.facts.uncomputable and kind.is_work:
        return Possible.NOT_KNOWN
    return possible


def _measure(
    situation: Situation, kind: OptionKind, asked: tuple[Item, ...]
) -> tuple[Item, ...]:
    if situation.facts.uncomputable and kind.is_work:
        asked = (*asked, situation.facts.uncomputable)
    return tuple(dict.fromkeys(asked))


def _cautions(situation: Situation, kind: OptionKind) -> tuple[Reason, ...]:
    stopping = tuple(matter.said for matter in situation.matters if matter.stops)
    found = [because(Code.CAUTION_STOPPED, matters=stopping)] if stopping else []
    found.append(NOT_AN_ORDER)
    if kind.is_work:
        found.append(COMPETENT)
    if kind.renews_grooves and situation.facts.ropes_oiled:
        found.append(DEGREASE_FIRST)
    return tuple(found)


def _answers(answered: tuple[Matter, ...]) -> tuple[SourcedReason, ...]:
    return tuple(sourced(Code.ANSWERS, matter=matter.said) for matter in answered)
