"""What shaft, beams, brake and motor are asked for, against what was entered of them.

What is not entered is named; nothing is compared by a usual value.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from fleet.models import Machine
from fleet.register.choices import DriveKind
from inspections.engineering import machine_limits, tensions
from inspections.engineering.validity import OutsideValidity
from inspections.scenarios.side_by_side import Turn
from inspections.scenarios.sides import Side


class MakersLimit(StrEnum):
    """What has a limit of its maker."""

    SHAFT = "SHAFT"
    BEAMS = "BEAMS"
    BRAKE = "BRAKE"
    MOTOR = "MOTOR"


class NotEntered(StrEnum):
    """What lacks, so that it is not compared."""

    LIMIT = "LIMIT"
    FORCES = "FORCES"
    MACHINE_MASS = "MACHINE_MASS"
    GEAR_TURNS = "GEAR_TURNS"
    GEAR_EFFICIENCY = "GEAR_EFFICIENCY"


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """One limit on both sides; what is asked for is told at its greatest.

    `limit` is that of the machine as entered, margins are 1 less what is asked for
    over it. `not_entered` names what lacks on either side.
    """

    name: MakersLimit
    unit: str
    limit: float | None
    now: float | None
    then: float | None
    margin_now: float | None
    margin_then: float | None
    turn: Turn
    not_entered: tuple[NotEntered, ...]


_Asked = tuple[float | None, tuple[NotEntered, ...]]


def rows(now: Side, then: Side) -> Iterator[LimitRow]:
    """Yield each limit against what is asked for, now and then."""
    machine = now.snapshot.machine
    for name, unit, limit, asked in _KINDS:
        entered = limit(machine)
        before, lacks = asked(now)
        after, lacks_then = asked(then)
        lacking = () if entered is not None else (NotEntered.LIMIT,)
        margins = [_margin(value, entered) for value in (before, after)]
        yield LimitRow(
            name=name,
            unit=unit,
            limit=entered,
            now=before,
            then=after,
            margin_now=margins[0],
            margin_then=margins[1],
            turn=_turn(*margins),
            not_entered=tuple(dict.fromkeys((*lacking, *lacks, *lacks_then))),
        )


def _margin(asked: float | None, limit: float | None) -> float | None:
    return None if asked is None or limit is None else 1.0 - asked / limit


def _turn(now: float | None, then: float | None) -> Turn:
    if then is None or now is None:
        # Beyond is told whether or not there is a number beside it.
        return Turn.WORSE if then is not None and then < 0.0 else Turn.NOT_COMPARED
    if abs(then - now) < 1e-9:
        return Turn.SAME
    return Turn.BETTER if then > now else Turn.WORSE


def _kn(value: float | None) -> float | None:
    return None if value is None else 1000.0 * value


def _shaft(side: Side) -> _Asked:
    asked = side.figures.shaft_most_n
    return asked, (NotEntered.FORCES,) if asked is None else ()


def _beams(side: Side) -> _Asked:
    hung, mass_kg = side.basis.carried, side.snapshot.machine.machine_mass_kg
    lacks = [NotEntered.FORCES] if hung is None else []
    if mass_kg is None:
        lacks.append(NotEntered.MACHINE_MASS)
    if hung is None or mass_kg is None:
        return None, tuple(lacks)
    car_n, other_n = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=hung.rated_load_kg,
        car_height_m=0.0,
        acceleration_m_s2=0.0,
    )
    load = machine_limits.beam_load(
        car_n=car_n,
        other_n=other_n,
        roping=hung.roping,
        machine_mass_kg=mass_kg,
    )
    return load.most_n, ()


def _brake(side: Side) -> _Asked:
    return _before_gear(side, side.figures.brake_torque_nm, drives=False)


def _motor(side: Side) -> _Asked:
    return _before_gear(side, side.figures.motor_torque_nm, drives=True)


def _before_gear(side: Side, asked_nm: float | None, *, drives: bool) -> _Asked:
    machine = side.snapshot.machine
    geared = machine.drive_kind != DriveKind.GEARLESS
    lacks = [NotEntered.FORCES] if asked_nm is None else []
    if geared and machine.gear_turns is None:
        lacks.append(NotEntered.GEAR_TURNS)
    if geared and drives and machine.gear_efficiency is None:
        lacks.append(NotEntered.GEAR_EFFICIENCY)
    if lacks or asked_nm is None:
        return None, tuple(lacks)
    try:
        return (
            machine_limits.before_gear_nm(
                at_sheave_nm=asked_nm,
                gear_turns=(machine.gear_turns or 1.0) if geared else 1.0,
                efficiency=_efficiency(machine) if geared and drives else 1.0,
            ),
            (),
        )
    except OutsideValidity:
        return None, (NotEntered.GEAR_TURNS,)


def _efficiency(machine: Machine) -> float:
    return machine.gear_efficiency or 1.0


_Kind = tuple[
    MakersLimit, str, Callable[[Machine], float | None], Callable[[Side], _Asked]
]
_KINDS: tuple[_Kind, ...] = (
    (MakersLimit.SHAFT, "N", lambda m: _kn(m.shaft_load_limit_kn), _shaft),
    (MakersLimit.BEAMS, "N", lambda m: _kn(m.beam_load_limit_kn), _beams),
    (MakersLimit.BRAKE, "N·m", lambda m: m.brake_torque_nm, _brake),
    (MakersLimit.MOTOR, "N·m", lambda m: m.motor_torque_nm, _motor),
)
