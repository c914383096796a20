"""What has to be measured and set after the work; worked out where it was entered."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering import after_work, criteria
from inspections.scenarios.changes import Changes
from inspections.scenarios.items import Part
from inspections.scenarios.sides import Side


class Room(StrEnum):
    """A length that the work moves."""

    COUNTERWEIGHT_RUNBY = "COUNTERWEIGHT_RUNBY"
    TOP_CLEARANCE = "TOP_CLEARANCE"
    HITCH_THREAD = "HITCH_THREAD"
    TRAVEL_PER_TURN = "TRAVEL_PER_TURN"


class CheckAfter(StrEnum):
    """What is measured or set again, whatever was worked out."""

    ROOMS = "ROOMS"
    THREAD = "THREAD"
    GOVERNOR = "GOVERNOR"
    ENCODER = "ENCODER"
    SLOW_DOWN = "SLOW_DOWN"
    LEVELLING = "LEVELLING"
    BRAKE = "BRAKE"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRow:
    """One length now and after the work [mm]; None was not entered or is not known.

    `least_mm` is what has to be left, `margin_mm` how much more there is then.
    """

    name: Room
    now_mm: float | None
    then_mm: float | None
    least_mm: float | None
    margin_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterWork:
    """Lengths that move, and what comes after the work."""

    rooms: tuple[RoomRow, ...]
    checks: tuple[CheckAfter, ...]


def after(now: Side, then: Side, changes: Changes) -> AfterWork:
    """Return what the work moves, with ropes as long as they were.

    New ropes stretch, and are cut to length when they are fitted: the lengths told are
    a start for that, and are measured in any case.
    """
    return AfterWork(
        rooms=tuple(_rooms(now, then, changes)),
        checks=tuple(_checks(now, then, changes)),
    )


def _rooms(now: Side, then: Side, changes: Changes) -> Iterator[RoomRow]:
    machine = now.snapshot.machine
    shortened_mm = changes.number("shorten_ropes_mm") or 0.0
    lower_mm = _lower_mm(now, then, shortened_mm)
    # The worst that the last visit read, as it is judged.
    read = [each.value for each in now.snapshot.last_visit("cwt_runby")]
    read_mm = min((value for value in read if value is not None), default=None)
    runby = criteria.lookup(
        criteria_set=now.snapshot.criteria, key="counterweight_runby_least"
    )
    yield _row(
        Room.COUNTERWEIGHT_RUNBY,
        read_mm,
        lower_mm,
        -1.0,
        runby.value or 0.0,
    )
    yield _row(
        Room.TOP_CLEARANCE,
        machine.top_clearance_mm,
        lower_mm,
        1.0,
        machine.top_clearance_least_mm,
    )
    thread_mm = None if changes.of(Part.ROPES, Part.GROOVES) else shortened_mm
    yield _row(Room.HITCH_THREAD, machine.hitch_thread_mm, thread_mm, -1.0, 0.0)
    yield RoomRow(
        name=Room.TRAVEL_PER_TURN,
        now_mm=_per_turn_mm(now),
        then_mm=_per_turn_mm(then),
        least_mm=None,
        margin_mm=None,
    )


def _row(
    name: Room,
    now_mm: float | None,
    moved_mm: float | None,
    sign: float,
    least_mm: float | None,
) -> RoomRow:
    then_mm = None
    if now_mm is not None and moved_mm is not None:
        then_mm = now_mm + sign * moved_mm
    return RoomRow(
        name=name,
        now_mm=now_mm,
        then_mm=then_mm,
        least_mm=least_mm,
        margin_mm=None if then_mm is None or least_mm is None else then_mm - least_mm,
    )


def _lower_mm(now: Side, then: Side, shortened_mm: float) -> float | None:
    """Return how much lower the counterweight hangs; None where that is not known."""
    before, there = now.basis.suspension, then.basis.suspension
    if before is None or there is None or before.roping != there.roping:
        return None
    if len(before.wrap.angles_rad) != len(there.wrap.angles_rad):
        return None
    spare_mm = after_work.rope_to_spare_mm(
        radius_less_mm=(before.sheave_diameter_mm - there.sheave_diameter_mm) / 2.0,
        wrap_rad=there.wrap.total_rad,
    )
    return after_work.counterweight_lower_mm(
        spare_mm=spare_mm, shortened_mm=shortened_mm, roping=there.roping
    )


def _per_turn_mm(side: Side) -> float | None:
    hung = side.basis.suspension
    if hung is None:
        return None
    return after_work.travel_per_turn_mm(
        sheave_diameter_mm=hung.sheave_diameter_mm, roping=hung.roping
    )


def _checks(now: Side, then: Side, changes: Changes) -> Iterator[CheckAfter]:
    new_ropes = now.snapshot.rope_set is not then.snapshot.rope_set
    if new_ropes or changes.touches("shorten_ropes_mm"):
        yield CheckAfter.ROOMS
        yield CheckAfter.THREAD
    before, there = _per_turn_mm(now), _per_turn_mm(then)
    same = False
    if before is not None and there is not None:
        same = abs(before - there) < 1e-9
    is_turned_otherwise = not same and (new_ropes or changes.touches("roping_ratio"))
    is_as_fast = not is_turned_otherwise and not changes.touches("rated_speed_m_s")
    if not is_as_fast:
        yield CheckAfter.GOVERNOR
    if is_turned_otherwise:
        yield CheckAfter.ENCODER
    if not is_as_fast:
        yield CheckAfter.SLOW_DOWN
    is_levelled = same and is_as_fast
    if new_ropes or changes.touches("shorten_ropes_mm", "tensions") or not is_levelled:
        yield CheckAfter.LEVELLING
    if changes.of(Part.MACHINE) or not same:
        yield CheckAfter.BRAKE
