"""The contractor's own prices and lead times. None is "not known"."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite

from inspections.decisions.records.kind import BoughtPart, OptionKind
from inspections.engineering.validity import OutsideValidity, require_not_negative
from inspections.reasons import Code, because


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A least, a likely and a greatest value, in rising order."""

    low: float
    mid: float
    high: float

    def __post_init__(self) -> None:
        """Raise OutsideValidity for values that are negative or not in order."""
        if not all(map(isfinite, (self.low, self.mid, self.high))):
            raise OutsideValidity(
                name="mid", value=self.mid, rule=because(Code.RULE_FINITE)
            )
        require_not_negative(low=self.low)
        if not self.low <= self.mid <= self.high:
            raise OutsideValidity(
                name="mid",
                value=self.mid,
                rule=because(Code.RULE_FROM_TO_NAMED, low=self.low, high=self.high),
            )


def exactly(value: float) -> Estimate:
    """Return a band without width. Raises OutsideValidity for a negative value."""
    return Estimate(low=value, mid=value, high=value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What work costs this contractor; what has no entry is not known.

    currency : its code, "" if not known
    hourly : one person's hour
    hours : persons' hours by kind of work
    rope_per_m : a metre of one rope
    parts : price of a part (sheave, rim, lubricant), and of a rope set where no price
        of a metre is given
    hoisting : one hoisting of a sheave or rim, in and out of the building
    access : getting to heavy work once, where that is a cost of its own: scaffold,
        crane's way, a room or roof to be opened, night work. None: in the hours
    day_out : what a day costs on which a machine stands
    shop : turning in the shop, or hire of the cutter in place, by kind of work
    """

    currency: str = ""
    hourly: Estimate | None = None
    hours: Mapping[OptionKind, Estimate] = field(default_factory=dict)
    rope_per_m: Estimate | None = None
    parts: Mapping[BoughtPart, Estimate] = field(default_factory=dict)
    hoisting: Estimate | None = None
    access: Estimate | None = None
    day_out: Estimate | None = None
    shop: Mapping[OptionKind, Estimate] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadTimes:
    """Days from order to delivery by part or shop, and to get access.

    parts_days : from order to delivery
    shop_days : from order to the work's begin, by kind of work
    access_days : to agree a day on which the machine can be stopped
    """

    parts_days: Mapping[BoughtPart, int] = field(default_factory=dict)
    shop_days: Mapping[OptionKind, int] = field(default_factory=dict)
    access_days: int | None = None
