"""What a kind of reading says: its subject, quantity or words, place and band."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.kinds.asking import Asked
from inspections.reasons import Code, Term, Topic


class Subject(StrEnum):
    """What a reading is taken on."""

    MACHINE = "machine"
    SHEAVE = "sheave"
    GROOVE = "groove"
    ROPE = "rope"


class Direction(StrEnum):
    """Which way a value goes on one part: the other way is surprising."""

    FREE = "free"
    FALLS = "falls"
    RISES = "rises"
    COUNTS_UP = "counts up"


class Group(StrEnum):
    """What several kinds tell, each in its own way: one can stand for another."""

    SEAT_DEPTH = "seat depth"
    TENSION = "rope tension"
    BROKEN_WIRES = "broken wires"


@dataclass(frozen=True, slots=True, kw_only=True)
class BandEnd:
    """One end of the band: a number, or a multiple of the nominal rope diameter."""

    value: float
    per_diameter: bool = False
    unsafe: bool = False

    def at(self, *, rope_diameter_mm: float | None) -> float | None:
        """Return the bound in the canonical unit; None if the diameter is missing."""
        if not self.per_diameter:
            return self.value
        return None if rope_diameter_mm is None else self.value * rope_diameter_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of reading: all that rooms above ask of it, but how it is judged.

    `name` says what is read, `how` is a technician's instruction for the field sheet,
    both in English; their German, with that of gauge, words and place keys, stands in
    `inspections/locale`. `asked` are the steps of the worklist that ask for it.
    A kind has either a `quantity` (its value is a number with a unit) or `words`
    (its value is one of them). `place` names the keys a reading must carry beside
    its subject's number; `may` those it can carry. An unsafe word of a kind that
    `stops`, and a number at or below `stops_at_or_below`, take the machine out of
    service at once. `noise_mm` is how much one reading of a length scatters, where its
    gauge does not say; only kinds that a calculation uses have it.

    `grows_worse` is which way a number is worse that takes no course of its own.
    `topic` is that of the findings which a reading that stops the machine raises.
    `tells` are the terms and reasons by which a finding that could not be judged asks
    for the kind, `worn` the worn quantity whose forecast it renews, `registers` the
    values of the register that it measures.
    """

    code: str
    name: str
    how: str = ""
    subject: Subject
    quantity: str = ""
    words: tuple[str, ...] = ()
    unsafe_words: tuple[str, ...] = ()
    place: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    gauge: str = ""
    low: BandEnd | None = None
    high: BandEnd | None = None
    signed: bool = False
    stops: bool = False
    stops_at_or_below: float | None = None
    noise_mm: float | None = None
    course: Direction = Direction.FREE
    grows_worse: Direction = Direction.FREE
    topic: Topic | None = None
    group: Group | None = None
    tells: tuple[Term | Code, ...] = ()
    worn: str = ""
    registers: tuple[str, ...] = ()
    asked: tuple[Asked, ...] = ()

    @property
    def is_worded(self) -> bool:
        return bool(self.words)

    @property
    def worse(self) -> Direction:
        """Which way a number of it is worse: by its course, or as it is told."""
        return self.grows_worse if self.course is Direction.FREE else self.course


def bound(value: float, *, d: bool = False, unsafe: bool = False) -> BandEnd:
    """Return one end of a band; `d` makes it a multiple of the rope diameter."""
    return BandEnd(value=value, per_diameter=d, unsafe=unsafe)
