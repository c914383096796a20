"""What a finding says, whether it is stored already or not."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from inspections.assessment.worse import AS_READ
from inspections.worked.records import Number, NumberOrigin


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A finding and what it shares with others of its assessment.

    `cases` are the load cases of the same place, where the finding has none itself;
    `metal` is what stands under the grooves, of a finding on a cut.
    """

    topic: str
    rule: str
    value: float | None
    limit: float | None
    margin: float | None
    unit: str
    detail: Mapping[str, Any]
    unknowns: Sequence[Mapping[str, Any]] = ()
    shared: Mapping[str, Any] = field(default_factory=dict)
    cases: Sequence[Mapping[str, Any]] = ()
    metal: Sequence[Mapping[str, Any]] = ()

    def registered(
        self, symbol: str, name: str, value: float, unit: str = ""
    ) -> Number:
        """Return a number of the register, a range where it has none, or a reading.

        A mass or wrap that was read otherwise is that reading, where the finding was
        judged with it.
        """
        number = Number(
            symbol=symbol,
            name=name,
            value=value,
            unit=unit,
            origin=NumberOrigin.REGISTER,
        )
        for each in self.unknowns:
            if each["name"].removesuffix("_rad") == name or each["name"] == name:
                # One of the register has its usual scatter, and no source for it.
                known = not each.get("source")
                number = replace(
                    number,
                    origin=NumberOrigin.REGISTER if known else NumberOrigin.ASSUMED,
                    low=each["low"],
                    high=each["high"],
                    source=each.get("source", ""),
                )
                break
        for each in self.detail.get(AS_READ, ()):
            if each["name"] == name:
                read_on = date.fromisoformat(each["read_on"])
                return replace(number, origin=NumberOrigin.READING, read_on=read_on)
        return number


def read(symbol: str, name: str, value: float, unit: str = "") -> Number:
    """Return a number that was read, or stands on readings alone."""
    return Number(
        symbol=symbol, name=name, value=value, unit=unit, origin=NumberOrigin.READING
    )


def of_rules(
    symbol: str, name: str, value: float, unit: str = "", source: str = ""
) -> Number:
    """Return a number that a code of rules gives."""
    return Number(
        symbol=symbol,
        name=name,
        value=value,
        unit=unit,
        origin=NumberOrigin.RULES,
        source=source,
    )


def worked(symbol: str, name: str, value: float, unit: str = "") -> Number:
    """Return a number that another line gives, or a calculation without a formula."""
    return Number(
        symbol=symbol, name=name, value=value, unit=unit, origin=NumberOrigin.WORKED
    )
