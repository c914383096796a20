"""One machine as it stands on a day, with the readings that may be used."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import (
    Groove,
    Machine,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)
from inspections.engineering.criteria import CriteriaSet
from inspections.models import Reading


class Missing(Exception):
    """Something that a calculation needs is not in the register or not read.

    The text names it in words and can be shown as it is.
    """

    def __init__(self, *names: str) -> None:
        super().__init__(f"missing: {', '.join(names)}")
        self.names = names


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A machine's parts as fitted on a day; None where the register has none.

    `ropes` are those of the set fitted now; `seats` tell of every set that ran on
    this sheave, with `rope.rope_set` loaded.
    """

    as_of: datetime
    machine: Machine
    criteria: CriteriaSet
    sheave: Sheave | None
    geometry: SheaveGeometry | None
    grooves: tuple[Groove, ...]
    rope_set: RopeSet | None
    ropes: tuple[Rope, ...]
    seats: tuple[RopeInGroove, ...]
    pulleys: tuple[Pulley, ...]
    works: tuple[Work, ...]
    readings: tuple[Reading, ...]

    def need_sheave(self) -> Sheave:
        """Return the drive sheave. Raises Missing."""
        if self.sheave is None:
            raise Missing("the drive sheave fitted today")
        return self.sheave

    def need_geometry(self) -> SheaveGeometry:
        """Return the grooves as cut. Raises Missing."""
        if self.geometry is None:
            raise Missing("the groove's form as cut")
        return self.geometry

    def need_rope_set(self) -> RopeSet:
        """Return the rope set. Raises Missing."""
        if self.rope_set is None:
            raise Missing("the rope set fitted today")
        return self.rope_set

    def rope_in(self, *, groove: Groove, on: date) -> Rope | None:
        """Return the rope that ran in a groove on a day."""
        for seat in self.seats:
            rope_set = seat.rope.rope_set
            if (
                seat.groove_id == groove.pk
                and rope_set.fitted_on <= on
                and (rope_set.retired_on is None or on < rope_set.retired_on)
            ):
                return seat.rope
        return None

    def grooves_of(self, *, rope: Rope) -> tuple[Groove, ...]:
        """Return the grooves a rope runs in, in the order of its passes."""
        passes = sorted(
            (s for s in self.seats if s.rope_id == rope.pk),
            key=lambda seat: seat.pass_number,
        )
        by_id = {groove.pk: groove for groove in self.grooves}
        return tuple(by_id[seat.groove_id] for seat in passes)

    def of_kind(self, *kinds: str) -> Iterator[Reading]:
        """Yield the readings of some kinds, oldest first."""
        return (reading for reading in self.readings if reading.kind in kinds)

    def latest(self, kind: str, **wanted: object) -> Reading | None:
        """Return the latest reading of a kind with the given attributes."""
        found = None
        for reading in self.of_kind(kind):
            if all(getattr(reading, name) == value for name, value in wanted.items()):
                found = reading
        return found
