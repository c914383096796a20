"""The machine's own row and its pulleys as a scenario has them; nothing is stored."""

from copy import copy
from dataclasses import dataclass

from django.utils.translation import gettext_noop

from fleet.models import Machine, Pulley
from fleet.register.choices import Bend, PulleyKind, Wrap
from inspections import inputs
from inspections.inputs import Snapshot
from inspections.scenarios.changes import Changes
from inspections.scenarios.items import Part
from inspections.scenarios.notes import Note
from inspections.scenarios.problems import NotTried

# No row of the database has such a key.
SUPPOSED_ID = -1
# Least of EN 81-20:2014 5.5.2.1 (from memory): the smallest pulley is the worst.
LEAST_RATIO = 40.0
_OF_ROPING = {PulleyKind.CAR, PulleyKind.COUNTERWEIGHT}
_MASSES = ("car_mass_kg", "rated_load_kg")
_PLACE = ("deflector_diameter_mm", "deflector_offset_x_mm", "deflector_drop_h_mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineRows:
    """The rows as changed, and what was supposed."""

    machine: Machine
    pulleys: tuple[Pulley, ...]
    notes: tuple[Note, ...]


def changed(snapshot: Snapshot, changes: Changes) -> MachineRows:
    """Return the machine and its pulleys as changed. Raises NotTried."""
    machine, notes = copy(snapshot.machine), []
    for column, value in changes.of(Part.MACHINE).items():
        setattr(machine, column, value)
    notes += _balance(snapshot.machine, machine, changes)
    pulleys = _hung_on(machine, _deflector(snapshot, machine, changes), changes)
    _wrap(snapshot, machine, changes)
    if _needs_pulleys(machine, pulleys, changes):
        pulleys += _supposed_pulleys(snapshot, machine)
        notes.append(Note.PULLEYS_SUPPOSED)
    return MachineRows(machine=machine, pulleys=pulleys, notes=tuple(notes))


def _balance(before: Machine, after: Machine, changes: Changes) -> list[Note]:
    """Keep the counterweight in kilograms where another mass is changed."""
    if changes.touches("balance_ratio"):
        after.counterweight_mass_kg = None
        return [Note.BALANCE_ASKED]
    if changes.touches("counterweight_mass_kg"):
        after.balance_ratio = None
        return []
    if not changes.touches(*_MASSES) or before.counterweight_mass_kg is not None:
        return [Note.MASSES_IN_KG] if changes.touches(*_MASSES) else []
    car_kg, load_kg, ratio = (
        before.car_mass_kg,
        before.rated_load_kg,
        before.balance_ratio,
    )
    if not car_kg or not load_kg or ratio is None:
        # What the balance is of is not known; the ratio cannot stay as it is.
        after.balance_ratio = None
        return [Note.MASSES_IN_KG]
    weight_kg = car_kg + ratio * load_kg
    anew = (weight_kg - (after.car_mass_kg or 0.0)) / (after.rated_load_kg or 1.0)
    if 0.0 <= anew <= 1.0:
        after.balance_ratio = anew
    else:
        after.balance_ratio, after.counterweight_mass_kg = None, weight_kg
    return [Note.MASSES_IN_KG]


def _deflector(
    snapshot: Snapshot, machine: Machine, changes: Changes
) -> tuple[Pulley, ...]:
    """Return the pulleys, the one that sets the wrap where it is moved to."""
    moved = changes.of(Part.PULLEY)
    if not moved:
        return snapshot.pulleys
    own = inputs.deflector_of(snapshot)
    pulley = copy(own) if own else _pulley(machine, PulleyKind.DEFLECTOR, 0)
    for column, value in moved.items():
        setattr(pulley, column, value)
    given = (pulley.diameter_mm, pulley.offset_x_mm, pulley.drop_h_mm)
    if any(value is None for value in given):
        raise NotTried(
            gettext_noop(
                "the register has no deflector with its place: give %(item)s, "
                "%(other)s and %(third)s together"
            ),
            item=_PLACE[0],
            other=_PLACE[1],
            third=_PLACE[2],
            pointer=f"/changes/{_PLACE[1]}",
        )
    others = (each for each in snapshot.pulleys if own is None or each.pk != own.pk)
    return (pulley, *others)


def _wrap(snapshot: Snapshot, machine: Machine, changes: Changes) -> None:
    """Let the angle come from the pulleys where they or the passes are changed."""
    if changes.touches("wrap_angle_deg"):
        return
    is_other = machine.wrap != snapshot.machine.wrap
    if is_other or changes.touches(*_PLACE):
        machine.wrap_angle_deg = None
    placed = changes.touches(*_PLACE) or inputs.deflector_of(snapshot) is not None
    if is_other and not placed:
        raise NotTried(
            gettext_noop(
                "the register has no deflector with its place: give %(item)s, over all "
                "passes"
            ),
            item="wrap_angle_deg",
            pointer="/changes/wrap",
        )


def _hung_on(
    machine: Machine, pulleys: tuple[Pulley, ...], changes: Changes
) -> tuple[Pulley, ...]:
    """Return the pulleys; roped 1:1 there are none on car and counterweight."""
    if not changes.touches("roping_ratio") or machine.roping_ratio > 1:
        return pulleys
    return tuple(pulley for pulley in pulleys if pulley.kind not in _OF_ROPING)


def _needs_pulleys(
    machine: Machine, pulleys: tuple[Pulley, ...], changes: Changes
) -> bool:
    """Tell whether ropes hang on pulleys of car and counterweight that nobody knows."""
    kinds = {pulley.kind for pulley in pulleys}
    return (
        changes.touches("roping_ratio")
        # Without any pulley the usual ones are supposed where they matter.
        and bool(pulleys)
        and machine.roping_ratio > 1
        and not kinds & _OF_ROPING
    )


def _supposed_pulleys(snapshot: Snapshot, machine: Machine) -> tuple[Pulley, ...]:
    if snapshot.rope_set is None:
        return ()
    made = []
    for number, kind in enumerate(sorted(_OF_ROPING), 90):
        pulley = _pulley(machine, kind, number)
        pulley.diameter_mm = LEAST_RATIO * snapshot.rope_set.nominal_diameter_mm
        made.append(pulley)
    return tuple(made)


def _pulley(machine: Machine, kind: PulleyKind, number: int) -> Pulley:
    return Pulley(
        pk=SUPPOSED_ID - number,
        machine=machine,
        number=number,
        kind=kind,
        bend=Bend.SIMPLE,
    )


def passes_of(machine: Machine) -> int:
    """Return how often the rope passes the drive sheave."""
    return 2 if machine.wrap == Wrap.DOUBLE else 1
