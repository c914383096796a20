"""Which machine, groove, rope and gauge a reading is about, on its day."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar
from zoneinfo import ZoneInfo

from fleet.models import Groove, Machine, Rope, RopeSet, Sheave
from fleet.platform.database.tenancy import Scope
from inspections.intake.problems import RefusedReading
from inspections.intake.understood import NewReading
from inspections.kinds import Subject
from inspections.models import Gauge

Part = TypeVar("Part", Sheave, RopeSet)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadPlace:
    """The rows a reading points at; None where its kind has none."""

    sheave_id: int | None = None
    groove_id: int | None = None
    rope_id: int | None = None
    rope_diameter_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPeriods:
    """A machine's parts with their periods, loaded once for a whole upload."""

    machine: Machine
    sheaves: list[Sheave] = field(default_factory=list)
    rope_sets: list[RopeSet] = field(default_factory=list)
    grooves: dict[tuple[int, int], int] = field(default_factory=dict)
    ropes: dict[tuple[int, int], int] = field(default_factory=dict)

    def day_of(self, reading: NewReading) -> date:
        """Return the reading's day by the building's clock, not the phone's."""
        zone = ZoneInfo(self.machine.building.time_zone)
        return reading.taken_at.astimezone(zone).date()

    def find(self, *, reading: NewReading, pointer: str) -> ReadPlace:
        """Return the rows of a reading's place. Raises Refused."""
        day = self.day_of(reading)
        sheave = _fitted(self.sheaves, day)
        rope_set = _fitted(self.rope_sets, day)
        diameter = rope_set.nominal_diameter_mm if rope_set else None
        subject = reading.kind.subject
        if subject is Subject.MACHINE:
            return ReadPlace(rope_diameter_mm=diameter)
        if subject is Subject.ROPE:
            rope_id = self._numbered(self.ropes, rope_set, reading, pointer)
            return ReadPlace(rope_id=rope_id, rope_diameter_mm=diameter)
        if sheave is None:
            raise RefusedReading(
                f"no drive sheave was fitted on {day}", pointer=pointer, code="no-part"
            )
        if subject is Subject.SHEAVE:
            return ReadPlace(sheave_id=sheave.pk, rope_diameter_mm=diameter)
        groove_id = self._numbered(self.grooves, sheave, reading, pointer)
        return ReadPlace(
            sheave_id=sheave.pk, groove_id=groove_id, rope_diameter_mm=diameter
        )

    def _numbered(
        self,
        found: dict[tuple[int, int], int],
        owner: Sheave | RopeSet | None,
        reading: NewReading,
        pointer: str,
    ) -> int:
        what = reading.kind.subject.value
        row = found.get((owner.pk, reading.number or 0)) if owner else None
        if row is None:
            raise RefusedReading(
                f"machine {self.machine.code} had no {what} {reading.number} "
                f"on {self.day_of(reading)}",
                pointer=f"{pointer}/{what}",
                code="no-part",
            )
        return row


def _fitted(parts: Iterable[Part], day: date) -> Part | None:
    for part in parts:
        if part.fitted_on <= day and (part.retired_on is None or day < part.retired_on):
            return part
    return None


def load_parts(*, scope: Scope, codes: Iterable[str]) -> dict[str, PartPeriods]:
    """Return the parts of the named machines that the scope reaches, by code."""
    machines = Machine.objects.within(scope).filter(code__in=set(codes))
    machines = machines.select_related("building")
    found = {machine.pk: PartPeriods(machine=machine) for machine in machines}
    for sheave in Sheave.objects.within(scope).filter(machine__in=found):
        found[sheave.machine_id].sheaves.append(sheave)
    for rope_set in RopeSet.objects.within(scope).filter(machine__in=found):
        found[rope_set.machine_id].rope_sets.append(rope_set)
    grooves = Groove.objects.within(scope).filter(sheave__machine__in=found)
    for groove in grooves.select_related("sheave"):
        parts = found[groove.sheave.machine_id]
        parts.grooves[groove.sheave_id, groove.number] = groove.pk
    ropes = Rope.objects.within(scope).filter(rope_set__machine__in=found)
    for rope in ropes.select_related("rope_set"):
        parts = found[rope.rope_set.machine_id]
        parts.ropes[rope.rope_set_id, rope.number] = rope.pk
    return {parts.machine.code: parts for parts in found.values()}


def load_gauges(*, scope: Scope, codes: Iterable[str]) -> dict[str, Gauge]:
    """Return the named gauges, by code."""
    wanted = set(codes)
    rows = Gauge.objects.within(scope).filter(code__in=wanted) if wanted else ()
    return {gauge.code: gauge for gauge in rows}
