"""What an option costs by the contractor's own rates, or what is missing to say it."""

from collections.abc import Iterator

from inspections.decisions.records import (
    BoughtPart,
    Cost,
    Estimate,
    MachineFacts,
    OptionKind,
    Rates,
)
from inspections.decisions.records.kind import work_of
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Term, because

# What lifts a sheave or rim in and out of the building.
HOISTED = (
    OptionKind.REGROOVE_IN_SHOP,
    OptionKind.RENEW_RIM,
    OptionKind.REPLACE_SHEAVE,
)
# What the machine room has to be made ready for: more than a visit with a tool bag.
ACCESSED = (*HOISTED, OptionKind.RE_ROPE, OptionKind.REGROOVE_IN_PLACE)
# What is bought for a kind of work beside ropes.
PARTS = {
    OptionKind.LUBRICATE: BoughtPart.LUBRICANT,
    OptionKind.RENEW_RIM: BoughtPart.RIM,
    OptionKind.REPLACE_SHEAVE: BoughtPart.SHEAVE,
}

_PRICES = {
    BoughtPart.LUBRICANT: Term.PRICE_OF_LUBRICANT,
    BoughtPart.RIM: Term.PRICE_OF_RIM,
    BoughtPart.SHEAVE: Term.PRICE_OF_SHEAVE,
}

# What is paid for, under the name it is missing by, and its price.
Priced = tuple[Item, Estimate | None]


def estimate(*, kind: OptionKind, facts: MachineFacts, rates: Rates) -> Cost:
    """Return the cost of one option; watching costs nothing beside the usual visits.

    Sums of low, likely and high values: all items low, or all high, at once. Access
    alone may have no rate: hours and shop then have it in them.
    """
    if kind is OptionKind.WATCH:
        return Cost(currency=rates.currency, low=0.0, mid=0.0, high=0.0)
    items = list(_items(kind, facts, rates))
    missing = [name for name, band in items if band is None]
    if not rates.currency:
        missing.append(Term.CURRENCY)
    if missing:
        return Cost(currency=rates.currency, missing=tuple(missing))
    bands = [band for _, band in items if band is not None]
    if kind in ACCESSED and rates.access is not None:
        bands.append(rates.access)
    return Cost(
        currency=rates.currency,
        low=sum(band.low for band in bands),
        mid=sum(band.mid for band in bands),
        high=sum(band.high for band in bands),
    )


def _items(kind: OptionKind, facts: MachineFacts, rates: Rates) -> Iterator[Priced]:
    hours = rates.hours.get(kind)
    if hours is None:
        yield because(Code.HOURS_FOR, work=work_of(kind)), None
    if rates.hourly is None:
        yield Term.PRICE_OF_HOUR, None
    if hours is not None and rates.hourly is not None:
        yield Term.PRICE_OF_HOUR, _times(hours, rates.hourly)
    if kind.renews_ropes:
        yield _rope_set(facts, rates)
    part = PARTS.get(kind)
    if part is not None:
        yield _PRICES[part], rates.parts.get(part)
    if kind.is_cut:
        yield because(Code.SHOP_FOR, work=work_of(kind)), rates.shop.get(kind)
    if kind in HOISTED:
        yield Term.PRICE_OF_HOISTING, rates.hoisting


def _rope_set(facts: MachineFacts, rates: Rates) -> Priced:
    by_metre, name = rates.rope_per_m, Term.PRICE_OF_ROPE_SET
    if by_metre is None:
        return name, rates.parts.get(BoughtPart.ROPE_SET)
    if facts.rope_count is None or facts.rope_length_m is None:
        return Term.ROPES_NUMBER_AND_LENGTH, rates.parts.get(BoughtPart.ROPE_SET)
    return name, _times(by_metre, _metres(facts.rope_count, facts))


def _metres(ropes: int, facts: MachineFacts) -> Estimate:
    """Return the rope to buy; a length worked out is no exact one."""
    metres = ropes * (facts.rope_length_m or 0.0)
    wide = metres * facts.rope_length_spread
    return Estimate(low=metres - wide, mid=metres, high=metres + wide)


def _times(one: Estimate, other: Estimate) -> Estimate:
    return Estimate(
        low=one.low * other.low, mid=one.mid * other.mid, high=one.high * other.high
    )
