"""Put changes into the machine as known: another snapshot, and nothing else."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from django.utils.translation import gettext_noop

from fleet.models import SheaveGeometry
from fleet.register.choices import WorkKind
from inspections import inputs
from inspections.assessment import field_tests
from inspections.assessment.next_cut import CLEAN_UP_MM
from inspections.engineering.cut import SeatAt
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot
from inspections.kinds import Group, of_group
from inspections.models import Reading, VisitKind
from inspections.reasons import english
from inspections.scenarios import as_left, machine_rows, new_parts
from inspections.scenarios.changes import Changes
from inspections.scenarios.items import Part
from inspections.scenarios.machine_rows import MachineRows
from inspections.scenarios.notes import Note
from inspections.scenarios.problems import NotKnownEnough, NotTried

_TENSIONS = (*of_group(Group.TENSION), "spring_length")
_WEIGHED = {
    "car_mass_kg": ("car_mass", "balance_load"),
    "rated_load_kg": ("balance_load",),
    "counterweight_mass_kg": ("balance_load",),
    "balance_ratio": ("balance_load",),
}
_RUNBYS = ("cwt_runby", "car_runby")
_OFFSETS = ("wrap_offset_x", "wrap_drop_h")
_MOVES_WRAP = (
    "wrap",
    "wrap_angle_deg",
    "deflector_diameter_mm",
    "deflector_offset_x_mm",
    "deflector_drop_h_mm",
    "sheave_diameter_mm",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """The machine as changed, and what was supposed for it."""

    snapshot: Snapshot
    notes: tuple[Note, ...] = ()
    is_cut: bool = False
    clean_up_mm: float | None = None


def apply(snapshot: Snapshot, changes: Changes, *, seats: tuple[SeatAt, ...]) -> Tried:
    """Return the machine with the changes as if they were done today.

    `seats` are the depths that a cut has to reach. The snapshot given stays as it is.
    Raises NotTried, with the range, and NotKnownEnough.
    """
    if not changes.pairs:
        return Tried(snapshot=snapshot)
    rows = machine_rows.changed(snapshot, changes)
    tried = _with_parts(snapshot, changes, rows, seats)
    is_faster = _runs_faster(snapshot, tried.snapshot, rows, changes)
    then = replace(
        tried.snapshot,
        machine=rows.machine,
        pulleys=rows.pulleys,
        readings=tuple(_standing(snapshot, tried, changes)),
        once_said=_still_empty(tried.snapshot, rows),
    )
    _check_holds(snapshot, then)
    faster = (Note.FASTER,) if is_faster else ()
    notes = (*rows.notes, *tried.notes, *faster, *_before(snapshot, changes))
    return replace(tried, snapshot=then, notes=tuple(dict.fromkeys(notes)))


def _runs_faster(
    snapshot: Snapshot, then: Snapshot, rows: MachineRows, changes: Changes
) -> bool:
    """Set the speed that the motor gives as it turns, where that is greater."""
    before, after = snapshot.geometry, then.geometry
    speed, asked = rows.machine.rated_speed_m_s, changes.touches("rated_speed_m_s")
    if asked or speed is None or before is None or after is None:
        return False
    if not before.pitch_diameter_mm or not after.pitch_diameter_mm:
        return False
    ratio = after.pitch_diameter_mm / before.pitch_diameter_mm
    ratio *= snapshot.machine.roping_ratio / rows.machine.roping_ratio
    if ratio <= 1.0:
        return False
    rows.machine.rated_speed_m_s = speed * ratio
    return True


def day_of(snapshot: Snapshot) -> date:
    """Return the day by the building's clock."""
    zone = ZoneInfo(snapshot.machine.building.time_zone)
    return snapshot.as_of.astimezone(zone).date()


def _with_parts(
    snapshot: Snapshot,
    changes: Changes,
    rows: MachineRows,
    seats: tuple[SeatAt, ...],
) -> Tried:
    """Return the snapshot with new ropes and grooves, where they are asked for."""
    is_new = changes.touches("sheave_diameter_mm")
    cut = is_new or bool(changes.of(Part.GROOVES))
    if not cut and not changes.of(Part.ROPES) and not _other_passes(snapshot, rows):
        return Tried(snapshot=snapshot)
    on = day_of(snapshot)
    clean_up_mm = None
    sheave, geometry = snapshot.sheave, snapshot.geometry
    if sheave is None or geometry is None:
        raise NotKnownEnough(
            gettext_noop("the register has no drive sheave with its grooves")
        )
    if cut:
        diameter_mm = changes.number("sheave_diameter_mm")
        if diameter_mm is None:
            clean_up_mm = changes.number("cut_depth_mm")
            clean_up_mm = CLEAN_UP_MM if clean_up_mm is None else clean_up_mm
            diameter_mm = _turned_to(geometry, seats, clean_up_mm)
        else:
            sheave = new_parts.new_sheave(snapshot, diameter_mm=diameter_mm, on=on)
        geometry = new_parts.new_geometry(
            snapshot, changes, diameter_mm=diameter_mm, on=on
        )
    rope_set = new_parts.new_rope_set(
        snapshot, changes, machine=rows.machine, sheave=sheave, on=on
    )
    parts = new_parts.fitted(
        snapshot,
        machine=rows.machine,
        sheave=sheave,
        geometry=geometry,
        rope_set=rope_set,
        cut=is_new,
        on=on,
    )
    done = as_left.work(rows.machine, _kind(is_new=is_new, cut=cut), on=on)
    left = as_left.readings(
        snapshot, machine=rows.machine, parts=parts, done=done, cut=cut
    )
    then = replace(
        snapshot,
        sheave=sheave,
        geometry=geometry,
        grooves=parts.grooves,
        rope_set=rope_set,
        ropes=parts.ropes,
        seats=parts.seats,
        works=(*snapshot.works, done),
        readings=(*snapshot.readings, *left),
    )
    notes = [Note.NEW_ROPES]
    if cut:
        notes.append(Note.NEW_SHEAVE if is_new else Note.GROOVES_CUT)
    return Tried(snapshot=then, notes=tuple(notes), is_cut=cut, clean_up_mm=clean_up_mm)


def _other_passes(snapshot: Snapshot, rows: MachineRows) -> bool:
    now, then = snapshot.machine, rows.machine
    return machine_rows.passes_of(now) != machine_rows.passes_of(then)


def _kind(*, is_new: bool, cut: bool) -> WorkKind:
    if is_new:
        return WorkKind.SHEAVE_REPLACEMENT
    return WorkKind.REGROOVING if cut else WorkKind.ROPING


def _turned_to(
    geometry: SheaveGeometry, seats: tuple[SeatAt, ...], clean_up_mm: float
) -> float:
    """Return the pitch diameter after a cut below the deepest seat [mm]."""
    if not seats or geometry.pitch_diameter_mm is None:
        raise NotKnownEnough(
            gettext_noop(
                "a cut starts from the deepest seat and the pitch diameter: read the "
                "seats or enter the diameter first"
            )
        )
    deepest_mm = max(max(seat.depth_mm for seat in seats), 0.0)
    left_mm = geometry.pitch_diameter_mm - 2.0 * (deepest_mm + clean_up_mm)
    if left_mm <= 0.0:
        raise NotTried(
            gettext_noop("the cut is deeper than the sheave"), pointer="/changes"
        )
    return float(left_mm)


def _standing(snapshot: Snapshot, tried: Tried, changes: Changes) -> Iterator[Reading]:
    """Yield what was read and is still true after the changes."""
    over: set[str] = set()
    for name, kinds in _WEIGHED.items():
        if changes.touches(name):
            over.update(kinds)
    if changes.touches(*_MOVES_WRAP):
        over.update(_OFFSETS)
    has_new_ropes = tried.snapshot.rope_set is not snapshot.rope_set
    if changes.touches("tensions") or has_new_ropes:
        over.update(_TENSIONS)
    if changes.touches("shorten_ropes_mm") or has_new_ropes:
        over.update(_RUNBYS)
    test = field_tests.standing_test(snapshot)
    proves = test is not None and test.passed
    for reading in tried.snapshot.readings:
        if reading.kind in over or (proves and _is_test(reading)):
            continue
        yield reading


def _is_test(reading: Reading) -> bool:
    is_slip_test = reading.visit.kind == VisitKind.SLIP_TEST
    return reading.kind == field_tests.KIND or (
        reading.kind == "slip_seen" and is_slip_test
    )


def _before(snapshot: Snapshot, changes: Changes) -> Iterator[Note]:
    """Yield what has to be done or read again, whatever comes out."""
    if changes.touches("tensions"):
        yield Note.TENSIONS_READ_AGAIN
    if changes.as_json().keys() != {"tensions"}:
        yield Note.TEST_AGAIN
    yield Note.SEEN_STAYS


def _still_empty(then: Snapshot, rows: MachineRows) -> dict[str, float]:
    """Return what the register once said of what is empty still."""
    there = (rows.machine, then.geometry, then.rope_set)
    return {
        name: value
        for name, value in then.once_said.items()
        if all(getattr(row, name, None) is None for row in there if row is not None)
    }


def _check_holds(now: Snapshot, then: Snapshot) -> None:
    """Raise NotTried, with the range, where the formulas do not hold for the result."""
    for make in (inputs.groove_cut, inputs.suspension_of):
        try:
            make(then)
        except Missing:
            # What lacks is said in the answer; a measure of a form is asked for here.
            continue
        except OutsideValidity as error:
            raise NotTried(
                english(error.reason), pointer="/changes", said=error.reason
            ) from error
    _check_form(now, then)


def _check_form(now: Snapshot, then: Snapshot) -> None:
    if then.geometry is now.geometry:
        return
    try:
        inputs.groove_cut(then)
    except Missing as error:
        raise NotTried(
            f"the form needs more: {error}",
            pointer="/changes/groove_form",
            said=error.reason,
        ) from error
