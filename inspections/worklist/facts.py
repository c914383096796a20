"""What is known of a machine that decides what to measure, loaded once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.register.choices import GrooveForm, RimConstruction
from inspections import inputs, queries
from inspections.inputs import Snapshot
from inspections.kinds import KINDS, Subject
from inspections.models import Finding, Forecast, Reading, Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSubject:
    """A subject of readings: the machine, its sheave, a groove or a rope."""

    subject: Subject
    id: int | None = None
    number: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MissedCheck:
    """A check of the least set that was not made at a place, or too long ago."""

    code: str
    place: str
    why: str
    months: int
    last_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorklistFacts:
    """A machine's parts and readings, findings, forecasts, and what waits for a word.

    `readings` are the usable ones of the parts fitted today, of grooves since their
    cut, by kind and place, oldest first. `missed` are the checks of the least set
    without which the machine's state is not known.
    """

    snapshot: Snapshot
    readings: Mapping[tuple[str, ReadingSubject], list[Reading]]
    to_confirm: tuple[Reading, ...]
    findings: tuple[Finding, ...]
    forecasts: tuple[Forecast, ...]
    stops: tuple[Stop, ...]
    missed: tuple[MissedCheck, ...] = ()

    @property
    def today(self) -> date:
        return self.day_of(self.snapshot.as_of)

    @property
    def form(self) -> str:
        """The form of the grooves, "" where it is not known."""
        geometry = self.snapshot.geometry
        return GrooveForm(geometry.form).value if geometry else ""

    @property
    def may_be_bolted(self) -> bool:
        """Whether the rim is bolted on, by the register, or may be."""
        sheave = self.snapshot.sheave
        known = sheave.rim_construction if sheave else ""
        return known in ("", RimConstruction.BOLTED)

    @property
    def rope_diameter_mm(self) -> float | None:
        rope_set = self.snapshot.rope_set
        return rope_set.nominal_diameter_mm if rope_set else None

    def day_of(self, moment: datetime) -> date:
        """Return a moment's day by the building's clock."""
        return _day_of(self.snapshot, moment)

    def places(self, subject: Subject) -> tuple[ReadingSubject, ...]:
        """Return the subjects of a kind that there are: grooves that hold a rope."""
        snapshot = self.snapshot
        if subject is Subject.MACHINE:
            return (ReadingSubject(subject=subject),)
        if subject is Subject.SHEAVE:
            sheave = snapshot.sheave
            return (ReadingSubject(subject=subject, id=sheave.pk),) if sheave else ()
        if subject is Subject.ROPE:
            return tuple(
                ReadingSubject(subject=subject, id=rope.pk, number=rope.number)
                for rope in snapshot.ropes
            )
        fitted = {rope.pk for rope in snapshot.ropes}
        laid = {seat.groove_id for seat in snapshot.seats if seat.rope_id in fitted}
        return tuple(
            ReadingSubject(subject=subject, id=groove.pk, number=groove.number)
            for groove in snapshot.grooves
            if groove.pk in laid or not laid
        )


def load(*, scope: Scope, machine_id: int, as_of: datetime) -> WorklistFacts:
    """Return the facts of one machine, in a constant number of queries.

    Raises NotFound for a machine out of reach.
    """
    found = load_many(scope=scope, machine_ids=[machine_id], as_of=as_of)
    if not found:
        raise NotFound
    return found[0]


def load_many(
    *, scope: Scope, machine_ids: Sequence[int], as_of: datetime
) -> list[WorklistFacts]:
    """Return the facts of each machine within reach, by a constant number of queries.

    In no order.
    """
    wanted = {"machine__in": list(machine_ids)}
    waiting = queries.readings_to_confirm(scope=scope).filter(**wanted).order_by("pk")
    to_confirm = _by_machine(waiting.select_related("groove", "rope"))
    findings = _by_machine(queries.current_findings(scope=scope).filter(**wanted))
    forecasts = _by_machine(queries.current_forecasts(scope=scope).filter(**wanted))
    stops = _by_machine(queries.open_stops(scope=scope, machine_ids=machine_ids))
    missed = _missed(scope, machine_ids)
    return [
        WorklistFacts(
            snapshot=snapshot,
            readings=_by_place(snapshot),
            to_confirm=to_confirm.get(snapshot.machine.pk, ()),
            findings=findings.get(snapshot.machine.pk, ()),
            forecasts=forecasts.get(snapshot.machine.pk, ()),
            stops=stops.get(snapshot.machine.pk, ()),
            missed=missed.get(snapshot.machine.pk, ()),
        )
        for snapshot in inputs.load(scope=scope, machine_ids=machine_ids, as_of=as_of)
    ]


def _by_machine(rows: Iterable[Any]) -> dict[int, tuple[Any, ...]]:
    found: dict[int, list[Any]] = {}
    for row in rows:
        found.setdefault(row.machine_id, []).append(row)
    return {machine_id: tuple(own) for machine_id, own in found.items()}


def _missed(
    scope: Scope, machine_ids: Sequence[int]
) -> dict[int, tuple[MissedCheck, ...]]:
    """Return what the latest assessment of each machine has missed."""
    rows = queries.latest_assessments(scope=scope).filter(machine__in=list(machine_ids))
    return {
        machine_id: tuple(
            MissedCheck(
                code=each["check"],
                place=each["place"],
                why=each["why"],
                months=each["months"],
                last_on=(
                    date.fromisoformat(each["last_on"]) if each["last_on"] else None
                ),
            )
            for each in (checks or {}).get("missed", ())
            if each["check"] in inputs.CHECKS
        )
        for machine_id, checks in rows.values_list("machine_id", "checks")
    }


def place_of(reading: Reading) -> ReadingSubject | None:
    """Return what a reading was taken on, None for a kind that is no more."""
    kind = KINDS.get(reading.kind)
    if kind is None:
        return None
    if kind.subject is Subject.ROPE and reading.rope is not None:
        return ReadingSubject(
            subject=kind.subject, id=reading.rope_id, number=reading.rope.number
        )
    if kind.subject is Subject.GROOVE and reading.groove is not None:
        return ReadingSubject(
            subject=kind.subject, id=reading.groove_id, number=reading.groove.number
        )
    if kind.subject is Subject.SHEAVE:
        return ReadingSubject(subject=kind.subject, id=reading.sheave_id)
    return ReadingSubject(subject=kind.subject)


def _by_place(
    snapshot: Snapshot,
) -> dict[tuple[str, ReadingSubject], list[Reading]]:
    geometry = snapshot.geometry
    # What was read of grooves before their cut says nothing of them now.
    cut_on = geometry.valid_from if geometry else date.min
    found: dict[tuple[str, ReadingSubject], list[Reading]] = {}
    for reading in snapshot.readings:
        place = place_of(reading)
        if place is None:
            continue
        if (
            place.subject is not Subject.GROOVE
            or _day_of(snapshot, reading.taken_at) >= cut_on
        ):
            found.setdefault((reading.kind, place), []).append(reading)
    return found


def _day_of(snapshot: Snapshot, moment: datetime) -> date:
    zone = ZoneInfo(snapshot.machine.building.time_zone)
    return moment.astimezone(zone).date()
