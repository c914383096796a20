"""One thing that is not known, with the range it is assumed to lie in."""

from dataclasses import dataclass

from inspections.engineering.validity import (
    require_finite,
    require_not_negative,
    require_within,
)

# Readings and register values are taken to lie within two standard deviations.
COVERAGE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A value known between two ends only.

    Parameters
    ----------
    name : name of the value
    low : least value assumed [unit of the value]
    typical : value taken where one number is wanted [unit of the value]
    high : greatest value assumed [unit of the value]
    group : what one measurement would settle together with others; "" for the value
        alone

    Raises OutsideValidity for ends that are not finite or not in order.

    Source: own definition.

    >>> Axis(name="balance_ratio", low=0.4, typical=0.45, high=0.5).is_known
    False
    """

    name: str
    low: float
    typical: float
    high: float
    group: str = ""

    def __post_init__(self) -> None:
        require_finite(low=self.low, typical=self.typical, high=self.high)
        typical = {f"typical {self.name}": self.typical}
        require_within(low=self.low, high=self.high, **typical)

    @property
    def is_known(self) -> bool:
        """Whether both ends are the same."""
        return self.low == self.high

    @property
    def settled_by(self) -> str:
        """What a measurement of it would settle: its group, or itself."""
        return self.group or self.name


def from_spread(
    *, name: str, value: float, sd: float, least: float | None = None, group: str = ""
) -> Axis:
    """Return a value with its uncertainty as a range of two standard deviations.

    Parameters
    ----------
    name : name of the value
    value : the value as entered or read [unit of the value]
    sd : its standard deviation [same unit], >= 0
    least : the least it can be, whatever was read [same unit]; None without one
    group : what one measurement would settle together with others

    Raises OutsideValidity for a value that is not finite, a negative deviation, or a
    value below its own least.

    Source: own rule; two standard deviations cover 95 % of a normal distribution.

    >>> from_spread(name="wrap_angle_deg", value=165.0, sd=1.5).low
    162.0
    """
    require_not_negative(sd=sd)
    low = value - COVERAGE * sd
    return Axis(
        name=name,
        low=low if least is None else max(low, least),
        typical=value,
        high=value + COVERAGE * sd,
        group=group,
    )
