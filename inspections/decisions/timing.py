"""By when an option is to be carried out, and by when to order for it."""

from dataclasses import dataclass
from datetime import date, timedelta

from inspections.decisions.dates import years_on
from inspections.decisions.matters import Matter
from inspections.decisions.records import (
    AheadLimit,
    BoughtPart,
    LeadTimes,
    OptionKind,
    SourcedReason,
    sourced,
)
from inspections.reasons import Code, Term

_BOUGHT = {
    OptionKind.LUBRICATE: (BoughtPart.LUBRICANT,),
    OptionKind.RE_ROPE: (BoughtPart.ROPE_SET,),
    OptionKind.REGROOVE_IN_PLACE: (BoughtPart.ROPE_SET,),
    OptionKind.REGROOVE_IN_SHOP: (BoughtPart.ROPE_SET,),
    OptionKind.RENEW_RIM: (BoughtPart.RIM, BoughtPart.ROPE_SET),
    OptionKind.REPLACE_SHEAVE: (BoughtPart.SHEAVE, BoughtPart.ROPE_SET),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """Days of one option; None where not known, which `reasons` explains."""

    plan_before_on: date | None
    order_by_on: date | None
    lead_days: int | None
    reasons: tuple[SourcedReason, ...]


def of_option(
    *,
    kind: OptionKind,
    answered: tuple[Matter, ...],
    renewed: tuple[AheadLimit, ...],
    lead_times: LeadTimes,
    within_years: float,
    as_of: date,
) -> Timing:
    """Return the days of an option.

    To be carried out before the first planning date of the limits it renews; at once
    where it answers an urgent finding, within `within_years` where it answers another.
    Ordered by that day less the longest lead time and the time to get access.
    """
    if not kind.is_work:
        return Timing(plan_before_on=None, order_by_on=None, lead_days=None, reasons=())
    plan_before = _plan_before(answered, renewed, as_of, within_years)
    lead_days, missing = _lead(kind, lead_times)
    reasons = []
    if missing:
        reasons.append(sourced(Code.NO_ORDER_DAY, items=missing))
    if plan_before is None:
        reasons.append(sourced(Code.NO_PLANNING_DAY))
    order_by = None
    if plan_before is not None and lead_days is not None:
        order_by = plan_before - timedelta(days=lead_days)
        if order_by < as_of:
            reasons.append(sourced(Code.ORDER_DAY_PAST, day=order_by))
    return Timing(
        plan_before_on=plan_before,
        order_by_on=order_by,
        lead_days=lead_days,
        reasons=tuple(reasons),
    )


def _plan_before(
    answered: tuple[Matter, ...],
    renewed: tuple[AheadLimit, ...],
    as_of: date,
    within_years: float,
) -> date | None:
    dated = [each.plan_before_on for each in renewed if each.plan_before_on]
    findings = [matter for matter in answered if matter.is_finding]
    if any(matter.is_urgent for matter in findings):
        dated.append(as_of)
    elif findings:
        # Always the same day, so that a later forecast never makes it earlier.
        dated.append(years_on(as_of, within_years))
    return min(dated, default=None)


def _lead(
    kind: OptionKind, lead_times: LeadTimes
) -> tuple[int | None, tuple[Term, ...]]:
    """Return the days from order to work, or what is missing to say them."""
    days: list[int] = []
    missing = []
    for part in _BOUGHT.get(kind, ()):
        if part in lead_times.parts_days:
            days.append(lead_times.parts_days[part])
        else:
            missing.append(Term(f"lead_time_{part.lower()}"))
    if kind.is_cut:
        if kind in lead_times.shop_days:
            days.append(lead_times.shop_days[kind])
        else:
            missing.append(Term(f"lead_time_{kind.lower()}"))
    if lead_times.access_days is None:
        missing.append(Term.ACCESS_DAYS)
    if missing or lead_times.access_days is None:
        return None, tuple(missing)
    return max(days, default=0) + lead_times.access_days, ()
