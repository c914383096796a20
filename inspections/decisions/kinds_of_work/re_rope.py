"""Re-rope: a whole matched set in the grooves as they are."""

from inspections.decisions import dates, grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.matters import Subject
from inspections.decisions.records import (
    AheadLimit,
    Option,
    OptionKind,
    Possible,
    Reason,
)
from inspections.decisions.situation import Situation
from inspections.engineering import blocks

WHOLE_SET = Reason(
    text="the whole set is renewed, matched, with its certificate",
    source="Cal. Code Regs. title 8, 3085.21(h); WAC 296-96-24163(9) (confirmed)",
)
PRACTICE = "common practice, no source"
GEOMETRY = "geometry of two circles"
BEDDING = (
    "A rope that is thinner than its seat holds less until it has bedded in: a slip "
    "test is asked for after it."
)
_SEAT = "the radius of every seat, by groove gauge, against a new rope"


def work_out(*, situation: Situation) -> Option:
    """Return the option to re-rope alone.

    Blocked where a new rope would be pinched; pointless where the grooves eat new
    ropes or are due themselves before the new ropes have served.
    """
    facts = situation.facts
    pinched = facts.new_rope_is_pinched
    fits = pinched is False
    return drafting.draft(
        situation=situation,
        kind=OptionKind.RE_ROPE,
        possible=Possible.YES if fits else Possible.NOT_KNOWN,
        blocked_because=_blocks(situation),
        pointless_because=(*_eaten(situation), *_short(situation)),
        measure_before=(_SEAT,) if pinched is None else (),
        margins=(grip.unchanged if fits else grip.not_assessed)(facts=facts),
        cautions=(BEDDING,),
        reasons=(WHOLE_SET, retension(situation)),
    )


def retension(situation: Situation) -> Reason:
    """Return that tensions are set again some time after new ropes."""
    row = situation.thresholds.row("retension_after_days")
    return Reason(
        text=f"tensions are measured and set again after {row.value:g} days",
        source=row.source,
    )


def _blocks(situation: Situation) -> tuple[Reason, ...]:
    found = blocks.find(
        facts=blocks.Facts(
            new_rope_thicker_than_seat=bool(situation.facts.new_rope_is_pinched)
        ),
        criteria_set=situation.facts.criteria_set,
    )
    return tuple(
        Reason(text=str(block.reason), source=PRACTICE)
        for block in found
        if block.what is blocks.Blocked.RENEWAL
    )


def _eaten(situation: Situation) -> tuple[Reason, ...]:
    """Return the open findings that new ropes would suffer from."""
    return tuple(
        Reason(text=f"new ropes would run in grooves with an open finding: {m.words}")
        for m in situation.findings
        if m.subject in (Subject.GRIP, Subject.SEATS, Subject.FEED, Subject.RIM)
    )


def _short(situation: Situation) -> tuple[Reason, ...]:
    """Return the limit of a groove that comes before new ropes have served."""
    years = situation.thresholds.value("short_life_years")
    until = dates.years_on(situation.as_of, years)
    due: list[AheadLimit] = [
        limit
        for limit in situation.limits_of(Subject.GRIP)
        if limit.own
        and limit.plan_before_on is not None
        and limit.plan_before_on < until
    ]
    if not due:
        return ()
    first = min(due, key=lambda limit: (str(limit.plan_before_on), limit.key))
    return (
        Reason(
            text=f"{first.place or 'a groove'} is due before {first.plan_before_on}, "
            f"within {years:g} years, and its cut needs new ropes again"
        ),
    )
