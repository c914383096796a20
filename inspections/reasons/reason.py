"""A reason and what its values can be."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import TypeAlias, Union

from inspections.reasons.codes import Code
from inspections.reasons.criteria import Criterion
from inspections.reasons.places import Place
from inspections.reasons.terms import Term
from inspections.reasons.topics import Topic
from inspections.records import made_by_slots


class UnknownCode(str):
    """A code of a newer version: kept as it came, worded as not known here."""

    __slots__ = ()


class UnknownTerm(str):
    """A term of a newer version, or one that a contractor's set brought along."""

    __slots__ = ()


@made_by_slots
@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its canonical unit; "-" for a number without one."""

    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class UnknownValue:
    """A value of a newer version, as the JSON text that it came in."""

    text: str


Named: TypeAlias = Term | Criterion | Topic | UnknownTerm
Value: TypeAlias = Union[
    float,
    str,
    date,
    Quantity,
    Place,
    Named,
    "Reason",
    UnknownValue,
    tuple["Value", ...],
]


@made_by_slots
@dataclass(frozen=True, slots=True)
class Reason:
    """One whole sentence as code and values, and the sentences that go with it.

    `values` are pairs of name and value in the order of the names, so that equal
    reasons are equal. Make one with `because`, which checks them.
    """

    code: Code | UnknownCode
    values: tuple[tuple[str, Value], ...] = ()
    also: tuple["Reason", ...] = ()

    def get(self, name: str) -> Value | None:
        """Return the value of a name, None where the reason has none."""
        return dict(self.values).get(name)

    def with_also(self, *others: "Reason") -> "Reason":
        """Return the reason followed by others and what goes with them, each once."""
        each = (*self.also, *(one for other in others for one in other.apart()))
        own = Reason(self.code, self.values)
        also = tuple(o for o in dict.fromkeys(each) if o != own)
        return Reason(self.code, self.values, also)

    def apart(self) -> tuple["Reason", ...]:
        """Return the reason and what goes with it, each by itself."""
        return (Reason(self.code, self.values), *self.also)

    def walk(self) -> Iterator["Reason"]:
        """Yield the reason and every reason in its values and beside it."""
        yield self
        for _name, value in self.values:
            yield from _inside(value)
        for other in self.also:
            yield from other.walk()

    def terms(self) -> Iterator[Named]:
        """Yield every term that the reason and those inside it name."""
        for reason in self.walk():
            for _name, value in reason.values:
                each = value if isinstance(value, tuple) else (value,)
                yield from (v for v in each if isinstance(v, NAMED))

    def __str__(self) -> str:
        """Return the reason in English, for logs and stored text."""
        # The catalogue is looked up at the edge; nothing below it needs the words.
        from inspections.reasons.rendering import english

        return english(self)


NAMED = (Term, Criterion, Topic, UnknownTerm)


def _inside(value: Value) -> Iterator[Reason]:
    if isinstance(value, Reason):
        yield from value.walk()
    elif isinstance(value, tuple):
        for each in value:
            yield from _inside(each)
