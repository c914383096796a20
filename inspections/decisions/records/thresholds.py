"""The values that rules of decision turn on: named, sourced, never changed silently."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering.validity import OutsideValidity
from inspections.reasons import Code, because


class Stricter(StrEnum):
    """Which way is the safe side of a threshold."""

    HIGHER = "higher"
    LOWER = "lower"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """One value: its name, words, unit, default, source, and whether it was changed.

    A threshold with `safety` may only be changed to its stricter side.
    """

    name: str
    words: str
    unit: str
    value: float
    default: float
    low: float
    high: float
    source: str
    stricter: Stricter
    safety: bool

    @property
    def is_changed(self) -> bool:
        """Whether the contractor has set it."""
        return self.value != self.default

    def __post_init__(self) -> None:
        """Raise OutsideValidity outside its range, or laxer than the default."""
        if not self.low <= self.value <= self.high:
            raise OutsideValidity(
                name=self.name,
                value=self.value,
                rule=because(Code.RULE_FROM_TO, low=self.low, high=self.high),
            )
        laxer = (
            self.value < self.default
            if self.stricter is Stricter.HIGHER
            else self.value > self.default and self.stricter is Stricter.LOWER
        )
        if self.safety and laxer:
            raise OutsideValidity(
                name=self.name,
                value=self.value,
                rule=because(
                    Code.RULE_STRICTER,
                    least=self.default,
                    side=str(self.stricter),
                    source=self.source,
                ),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """All thresholds, in the order of their documentation."""

    rows: tuple[Threshold, ...]

    def row(self, name: str) -> Threshold:
        """Return a threshold. Raises KeyError for a name that is not on the list."""
        for each in self.rows:
            if each.name == name:
                return each
        raise KeyError(name)

    def value(self, name: str) -> float:
        """Return a threshold's value. Raises KeyError as `row` does."""
        return self.row(name).value

    @property
    def changed(self) -> tuple[Threshold, ...]:
        """Return those that the contractor has set."""
        return tuple(each for each in self.rows if each.is_changed)
