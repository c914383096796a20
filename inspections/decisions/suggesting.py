"""Rates suggested from what work really took; nothing is changed by a suggestion."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from inspections.decisions.records import BoughtPart, Estimate, OptionKind

# Fewer works say nothing of a range; our rule.
LEAST_WORKS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """What one work took. None is "not said", never "nothing".

    hours : persons' hours
    labour, rope, part, shop, hoisting, access : money in one currency
    rope_m : metres of rope bought for `rope`, of all ropes together
    bought : the part that `part` was paid for; None where the work has none
    """

    kind: OptionKind
    hours: float | None = None
    labour: float | None = None
    rope: float | None = None
    rope_m: float | None = None
    part: float | None = None
    bought: BoughtPart | None = None
    shop: float | None = None
    hoisting: float | None = None
    access: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestedRate:
    """One rate as works had it: the least, the middle and the greatest of them.

    name, key : as in the rates, such as "hours" of "RE_ROPE"; key "" where the rate is
        one for all works
    works : how many it is from
    """

    name: str
    key: str
    band: Estimate
    works: int


def suggest(spent: Sequence[Spent]) -> tuple[SuggestedRate, ...]:
    """Return the rates that at least three works tell, in the order of the rates."""
    return tuple(
        SuggestedRate(
            name=name,
            key=key,
            band=Estimate(low=min(values), mid=median(values), high=max(values)),
            works=len(values),
        )
        for name, key, values in _told(spent)
        if len(values) >= LEAST_WORKS
    )


def _told(spent: Sequence[Spent]) -> Iterator[tuple[str, str, list[float]]]:
    yield "hourly", "", _shares((one.labour, one.hours) for one in spent)
    yield "rope_per_m", "", _shares((one.rope, one.rope_m) for one in spent)
    yield "hoisting", "", _said(one.hoisting for one in spent)
    yield "access", "", _said(one.access for one in spent)
    for part in BoughtPart:
        if part is BoughtPart.ROPE_SET:
            found = _said(one.rope for one in spent)
        else:
            found = _said(one.part for one in spent if one.bought is part)
        yield "parts", str(part), found
    for kind in OptionKind:
        own = [one for one in spent if one.kind is kind]
        yield "hours", str(kind), _said(one.hours for one in own)
        yield "shop", str(kind), _said(one.shop for one in own)


def _said(values: Iterable[float | None]) -> list[float]:
    return [value for value in values if value is not None]


def _shares(pairs: Iterable[tuple[float | None, float | None]]) -> list[float]:
    """Return money by hour or metre, of works that say both."""
    return [whole / amount for whole, amount in pairs if whole is not None and amount]
