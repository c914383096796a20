"""One machine as it stands on a day, with the readings that may be used."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, tzinfo
from operator import itemgetter
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

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
from inspections.inputs import least_set
from inspections.inputs.last_visit import of_last_visit
from inspections.inputs.least_set import Ages
from inspections.models import Reading, ReadingState
from inspections.reasons import Reason, Term, missing

Found = TypeVar("Found")
Item = Term | Reason


def is_unconfirmed(reading: Reading) -> bool:
    """Return whether a reading acts as if true and nobody has yet confirmed it."""
    return (
        reading.state == ReadingState.UNCONFIRMED
        and getattr(reading, "accepted", None) is not True
    )


class Missing(Exception):
    """Something that a calculation needs is not in the register or not read.

    `items` are what is missing, `reason` says it; the text is the reason in English.
    """

    def __init__(self, *items: Item) -> None:
        super().__init__(*items)
        self.items = items

    @property
    def reason(self) -> Reason:
        """Return the reason: what is missing."""
        return missing(*self.items)

    def __str__(self) -> str:
        return str(self.reason)


class NotJudged(Missing):
    """Why a calculation is not made though nothing of the register is missing."""

    def __init__(self, reason: Reason) -> None:
        super().__init__()
        self._reason = reason

    @property
    def reason(self) -> Reason:
        """Return the reason."""
        return self._reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A machine's parts as fitted on a day; None where the register has none.

    `ropes` are those of the set fitted now; `seats` tell of every set that ran on
    this sheave, with `rope.rope_set` loaded. `answered` are the readings of the
    cause of a stop that work has ended: what they showed is repaired. `ages` are the
    greatest ages of the least set of checks that hold for it. `once_said` is the last
    value of columns of the register that are empty now.
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
    answered: frozenset[int] = frozenset()
    ages: Ages = least_set.NO_TERMS
    once_said: Mapping[str, float] = field(default_factory=dict)
    _known: dict[str, Any] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def once(self, name: str, make: Callable[[], Found]) -> Found:
        """Return what `make` gives, made the first time only."""
        if name not in self._known:
            self._known[name] = make()
        found: Found = self._known[name]
        return found

    def day_of(self, moment: datetime) -> date:
        """Return a moment's day by the building's clock, as parts are dated."""
        zone = self.once("time zone", self._time_zone)
        return moment.astimezone(zone).date()

    def _time_zone(self) -> tzinfo:
        return ZoneInfo(self.machine.building.time_zone)

    def need_sheave(self) -> Sheave:
        """Return the drive sheave. Raises Missing."""
        if self.sheave is None:
            raise Missing(Term.DRIVE_SHEAVE)
        return self.sheave

    def need_geometry(self) -> SheaveGeometry:
        """Return the grooves as cut. Raises Missing."""
        if self.geometry is None:
            raise Missing(Term.GROOVE_FORM)
        return self.geometry

    def need_rope_set(self) -> RopeSet:
        """Return the rope set. Raises Missing."""
        if self.rope_set is None:
            raise Missing(Term.ROPE_SET)
        return self.rope_set

    def rope_in(self, *, groove: Groove, on: date) -> Rope | None:
        """Return the rope that ran in a groove on a day."""
        ropes = self.once("ropes by groove", self._ropes_by_groove)
        for fitted_on, retired_on, rope in ropes.get(groove.pk, ()):
            if fitted_on <= on and (retired_on is None or on < retired_on):
                return rope
        return None

    def _ropes_by_groove(self) -> dict[int, list[tuple[date, date | None, Rope]]]:
        found: dict[int, list[tuple[date, date | None, Rope]]] = defaultdict(list)
        for seat in self.seats:
            rope_set = seat.rope.rope_set
            ran = (rope_set.fitted_on, rope_set.retired_on, seat.rope)
            found[seat.groove_id].append(ran)
        return found

    def grooves_of(self, *, rope: Rope) -> tuple[Groove, ...]:
        """Return the grooves a rope runs in, in the order of its passes."""
        found = self.once("grooves by rope", self._grooves_by_rope).get(rope.pk, ())
        return tuple(groove for _, groove in found)

    def _grooves_by_rope(self) -> dict[int, list[tuple[int, Groove]]]:
        by_id = {groove.pk: groove for groove in self.grooves}
        found: dict[int, list[tuple[int, Groove]]] = defaultdict(list)
        for seat in self.seats:
            found[seat.rope_id].append((seat.pass_number, by_id[seat.groove_id]))
        for passes in found.values():
            passes.sort(key=itemgetter(0))
        return found

    def of_kind(self, *kinds: str) -> Iterator[Reading]:
        """Yield the readings of some kinds, oldest first."""
        by_kind = self.once("readings by kind", self._by_kind)
        if len(kinds) == 1:
            return iter(by_kind.get(kinds[0], ()))
        found = [reading for kind in kinds for reading in by_kind.get(kind, ())]
        return iter(sorted(found, key=lambda reading: (reading.taken_at, reading.pk)))

    def _by_kind(self) -> dict[str, list[Reading]]:
        found: dict[str, list[Reading]] = defaultdict(list)
        for reading in self.readings:
            found[reading.kind].append(reading)
        return found

    def latest(self, kind: str, **wanted: object) -> Reading | None:
        """Return the latest reading of a kind with the given attributes."""
        found = self.once("readings by kind", self._by_kind).get(kind, [])
        for reading in reversed(found):
            if all(getattr(reading, name) == value for name, value in wanted.items()):
                return reading
        return None

    def last_visit(self, *kinds: str, **wanted: object) -> list[Reading]:
        """Return the readings of some kinds that the latest visit with any took."""
        found = [
            reading
            for reading in self.of_kind(*kinds)
            if all(getattr(reading, name) == value for name, value in wanted.items())
        ]
        return of_last_visit(found)
