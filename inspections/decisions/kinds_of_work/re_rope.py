"""Re-rope: a whole matched set in the grooves as they are."""

from inspections.decisions import dates, grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.matters import MatterSubject
from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    SourcedReason,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.engineering.blocks import Blocked, BlockFacts
from inspections.reasons import Code, Term, because, place_of

WHOLE_SET = sourced(
    Code.SET_RENEWED_WHOLE,
    "Cal. Code Regs. title 8, 3085.21(h); WAC 296-96-24163(9) (confirmed)",
)
GEOMETRY = "geometry of two circles"
BEDDING = because(Code.CAUTION_BEDDING)


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
        blocked_because=drafting.blocked_by(
            situation=situation,
            what=Blocked.RENEWAL,
            facts=BlockFacts(new_rope_thicker_than_seat=bool(pinched)),
        ),
        pointless_because=(*_eaten(situation), *_short(situation)),
        measure_before=(Term.SEAT_RADII,) if pinched is None else (),
        margins=(grip.unchanged if fits else grip.not_assessed)(facts=facts),
        cautions=(BEDDING,),
        reasons=(WHOLE_SET, retension(situation)),
    )


def retension(situation: Situation) -> SourcedReason:
    """Return that tensions are set again some time after new ropes."""
    row = situation.thresholds.row("retension_after_days")
    return sourced(Code.TENSIONS_SET_AGAIN, row.source, days=row.value)


def _eaten(situation: Situation) -> tuple[SourcedReason, ...]:
    """Return the open findings that new ropes would suffer from."""
    return tuple(
        sourced(Code.NEW_ROPES_IN_OPEN, matter=m.said)
        for m in situation.findings
        if m.subject
        in (
            MatterSubject.GRIP,
            MatterSubject.SEATS,
            MatterSubject.FEED,
            MatterSubject.RIM,
        )
    )


def _short(situation: Situation) -> tuple[SourcedReason, ...]:
    """Return the limit of a groove that comes before new ropes have served."""
    years = situation.thresholds.value("short_life_years")
    until = dates.years_on(situation.as_of, years)
    due = [
        (limit.plan_before_on, limit.key, limit.place)
        for limit in situation.limits_of(MatterSubject.GRIP)
        if limit.own
        and limit.plan_before_on is not None
        and limit.plan_before_on < until
    ]
    if not due:
        return ()
    day, _key, place = min(due)
    if not place:
        return (sourced(Code.GROOVE_DUE_FIRST, day=day, years=years),)
    return (sourced(Code.PLACE_DUE_FIRST, place=place_of(place), day=day, years=years),)
