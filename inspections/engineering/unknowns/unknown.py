"""One row of the table of unknowns."""

from dataclasses import dataclass

from inspections.engineering.answer import Axis
from inspections.engineering.source import Source
from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """A value that a register or a visit may not have, and what is assumed of it.

    Parameters
    ----------
    name : name of the value, with its unit
    words : what it is, to be shown
    low : least plausible value [unit]
    typical : usual value [unit]
    high : greatest plausible value [unit]
    unit : unit of the three; "-" for a part of another value
    source : where the range comes from and how sure that is
    of : name of the value that it is a part of, "" where it stands by itself
    group : what one measurement settles together with others; "" for this alone
    note : what else a reader must know

    Raises OutsideValidity for ends that are not finite or not in order.

    Source: own definition; every row carries its own.

    >>> from inspections.engineering.unknowns import find
    >>> find(name="balance_ratio").typical
    0.45
    """

    name: str
    words: str
    low: float
    typical: float
    high: float
    unit: str
    source: Source
    of: str = ""
    group: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        require_finite(low=self.low, typical=self.typical, high=self.high)
        typical = {f"typical {self.name}": self.typical}
        require_within(low=self.low, high=self.high, **typical)


def axis_of(
    *, unknown: Unknown, of_value: float | None = None, once_said: float | None = None
) -> Axis:
    """Return the range assumed for an unknown on one machine.

    Parameters
    ----------
    unknown : a row of the table
    of_value : the value that the row is a part of [unit of that value], > 0; None
        for a row that stands by itself
    once_said : a value that was once registered and taken away again [unit of the
        result]; it stays as one end of the range

    Raises OutsideValidity for a row that is a part of a value not given, and for
    values that are not finite.

    Source: own definition; a value taken away never narrows what is possible.

    >>> from inspections.engineering.unknowns import find
    >>> axis_of(unknown=find(name="car_mass_kg"), of_value=1000.0).typical
    1300.0
    >>> axis_of(unknown=find(name="balance_ratio"), once_said=0.38).low
    0.38
    """
    scale = 1.0
    if unknown.of:
        if of_value is None:
            raise OutsideValidity(
                name=unknown.of,
                value=float("nan"),
                rule=because(Code.RULE_GIVEN_AS_SHARE),
            )
        require_positive(of_value=of_value)
        scale = of_value
    ends = [scale * unknown.low, scale * unknown.high]
    if once_said is not None:
        require_finite(once_said=once_said)
        ends.append(once_said)
    return Axis(
        name=unknown.name,
        low=min(ends),
        typical=scale * unknown.typical,
        high=max(ends),
        group=unknown.group,
    )
