"""The records of a worklist: what to read where, why, and what would surprise."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from inspections.cautions import SHORT
from inspections.models import Stop
from inspections.reasons import Reason as Said
from inspections.reasons import Term, english
from inspections.worklist.ordering import Why

# A rope is not round when it is worn: one diameter says less than two.
_DIRECTIONS = ("1", "2")


@dataclass(frozen=True, slots=True, kw_only=True)
class DueReason:
    """Why a reading is due: how pressing, what is said of it, what it may decide.

    `worth` is the chance of beyond times what would follow, 0 to 1.
    """

    why: Why
    said: Said
    worth: float = 0.0

    @property
    def words(self) -> str:
        """Return what is said in English."""
        return str(self.said)


@dataclass(frozen=True, slots=True, kw_only=True)
class LastReading:
    """The latest usable reading of a place, in the canonical unit."""

    id: int
    value: float | None
    unit: str
    word: str
    taken_at: datetime
    unconfirmed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitHeldAgainst:
    """The limit that the last reading, or what it was worked into, was held against.

    `of` is the finding's topic, `judged` its value: a mean, a share, a depth; `rule`
    is the criterion as a code, "" in a finding of an earlier version.
    """

    of: str
    judged: float | None
    value: float
    unit: str
    criterion: str
    rule: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surprising:
    """What should make the reader measure once more; None and "" where nothing is.

    Numbers are in the canonical unit.
    """

    at_or_below: float | None = None
    at_or_above: float | None = None
    said: tuple[Said, ...] = ()

    @property
    def words(self) -> str:
        """Return what is said in English."""
        return "; ".join(map(str, self.said))


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedReading:
    """One reading to take."""

    kind: str
    or_kinds: tuple[str, ...]
    subject: str
    number: int | None
    place: dict[str, Any]
    gauge: str
    unit: str
    reasons: tuple[DueReason, ...]
    last: LastReading | None
    limit: LimitHeldAgainst | None
    surprising: Surprising

    @property
    def boxes(self) -> tuple[dict[str, Any], ...]:
        """Return the places to write down: of a diameter both directions."""
        if self.kind != "rope_diameter":
            return (self.place,)
        return tuple({**self.place, "direction": each} for each in _DIRECTIONS)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedStep:
    """Readings taken in one go."""

    code: str
    said: Term
    minutes: int
    weight: int
    items: tuple[ListedReading, ...]

    @property
    def worth(self) -> float:
        """Return the most that one of its readings may decide."""
        reasons = (reason for item in self.items for reason in item.reasons)
        return max((reason.worth for reason in reasons), default=0.0)

    @property
    def words(self) -> str:
        """Return what the step is called in English."""
        return english(self.said)


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherVisit:
    """A visit of another kind that is due as well."""

    visit: str
    minutes: int
    reasons: tuple[DueReason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worklist:
    """What to measure on one machine at one visit."""

    machine: int
    code: str
    visit: str
    as_of: datetime
    minutes: int
    minutes_planned: int
    stops: tuple[Stop, ...]
    cautions_said: tuple[Said, ...]
    steps: tuple[ListedStep, ...]
    left_out: tuple[ListedStep, ...]
    other_visits: tuple[OtherVisit, ...]

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return the cautions in English, those of every verdict last."""
        return (*map(str, self.cautions_said), *SHORT)
