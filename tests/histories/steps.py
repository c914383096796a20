"""The steps of a history, as they go into the service."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One reading: where, what, and whether it tells of nothing bad.

    `slot` names it within its step; `corrects` is the step and slot of another.
    """

    slot: int
    kind: str
    groove: int | None = None
    rope: int | None = None
    place: tuple[tuple[str, Any], ...] = ()
    value: float | None = None
    word: str = ""
    unit: str = "mm"
    good: bool = True
    corrects: tuple[int, int] | None = None

    @property
    def at(self) -> tuple[Any, ...]:
        """Return what tells its place apart."""
        return self.kind, self.groove, self.rope, self.place

    def as_json(self, prefix: str, step: int) -> dict[str, Any]:
        """Return the reading as an upload has it."""
        found: dict[str, Any] = {
            "reference": f"{prefix}-{step}-{self.slot}",
            "kind": self.kind,
            "place": dict(self.place),
            "value": self.word or f"{self.value:.3f}",
        }
        if self.kind.startswith("breaks") and not self.word:
            found["value"] = f"{self.value:.0f}"
        if not self.word:
            found["unit"] = self.unit
        for subject in ("groove", "rope"):
            if getattr(self, subject) is not None:
                found[subject] = getattr(self, subject)
        if self.corrects is not None:
            found["corrects"] = f"{prefix}-{self.corrects[0]}-{self.corrects[1]}"
            found["note"] = "read wrongly the first time"
        return found

    def where(self) -> str:
        """Return its place as findings say it."""
        if self.groove is not None:
            return f"groove {self.groove}"
        if self.rope is not None:
            return f"rope {self.rope}"
        place = dict(self.place)
        return str(place.get("part", place.get("case", "")))


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Readings of one visit by one of the technicians."""

    rows: tuple[Row, ...]
    kind: str = "ROUTINE"
    by: int = 0

    def without(self, slot: int) -> "Visit":
        return replace(self, rows=tuple(r for r in self.rows if r.slot != slot))

    def with_row(self, row: Row) -> "Visit":
        """Return the visit with a reading in the place of the one of its slot."""
        return replace(self, rows=(*self.without(row.slot).rows, row))


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """Work done, with what was read as left."""

    kind: str
    parts: dict[str, Any] = field(default_factory=dict)
    rows: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """The office's word on one reading."""

    step: int
    slot: int
    accepted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """An attempt to end stops: all of them by the last work, or one reading's.

    What one reading has raised is tried by work that was done before, and by words
    where somebody has to look again first: neither may end it.
    """

    step: int | None = None
    slot: int = 0


Step = Visit | Work | Review | Release


def steps_in_words(steps: Sequence[Step]) -> str:
    """Return what was done, one after the other."""
    return " then ".join(_name(step) for step in steps)


def _name(step: Step) -> str:
    if isinstance(step, Work):
        return step.kind
    if isinstance(step, Review | Release):
        return f"a {type(step).__name__.lower()}"
    return f"a {step.kind.lower()} visit"
