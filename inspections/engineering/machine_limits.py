"""What beams, brake and motor are asked for, at the place where each is rated."""

from dataclasses import dataclass

from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.validity import (
    require_not_negative,
    require_positive,
    require_within,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BeamLoad:
    """Load on the machine beams at rest.

    Parameters
    ----------
    least_n : where no dead ends hang on them [N]
    most_n : where all of them do [N]; the same where roped 1:1

    Raises nothing; beam_load makes it.

    Source: statics.

    >>> BeamLoad(least_n=50000.0, most_n=50000.0).most_n
    50000.0
    """

    least_n: float
    most_n: float


def beam_load(
    *, car_n: float, other_n: float, roping: int, machine_mass_kg: float
) -> BeamLoad:
    """Return the load on the beams of a machine that stands above the shaft.

    Parameters
    ----------
    car_n : force of the whole rope set on the car's side, at the sheave [N], >= 0
    other_n : force on the other side [N], >= 0
    roping : i_r [-], >= 1
    machine_mass_kg : machine, sheave, deflector and frame [kg], > 0

    All ropes hang down, so that no angle of wrap and no deflector changes their sum:
    what the deflector carries stands on the same beams. Of each side i_r falls hang
    from above; all but the one at the sheave may hang on other beams. No impact.

    Raises OutsideValidity outside these ranges.

    Source: statics, T1 + T2 + m·g and i_r·(T1 + T2) + m·g.

    >>> beam_load(car_n=22000.0, other_n=16000.0, roping=1, machine_mass_kg=1000.0)
    BeamLoad(least_n=47810.0, most_n=47810.0)
    """
    require_not_negative(car_n=car_n, other_n=other_n)
    require_positive(machine_mass_kg=machine_mass_kg, roping=roping)
    weight_n = machine_mass_kg * GRAVITY_M_S2
    pull_n = car_n + other_n
    return BeamLoad(least_n=pull_n + weight_n, most_n=roping * pull_n + weight_n)


def before_gear_nm(
    *, at_sheave_nm: float, gear_turns: float, efficiency: float = 1.0
) -> float:
    """Return the torque before a gear that is needed behind it.

    Parameters
    ----------
    at_sheave_nm : torque at the axle of the sheave [N·m], >= 0
    gear_turns : turns of the motor for one of the sheave [-], from 1 to 500
    efficiency : share of the motor's torque that comes through [-], from 0.05 to 1; a
        brake is helped by what the gear loses, and is asked for with 1

    Raises OutsideValidity outside these ranges.

    Source: statics.

    >>> before_gear_nm(at_sheave_nm=2100.0, gear_turns=35.0, efficiency=0.6)
    100.0
    """
    require_not_negative(at_sheave_nm=at_sheave_nm)
    require_within(low=1.0, high=500.0, gear_turns=gear_turns)
    require_within(low=0.05, high=1.0, efficiency=efficiency)
    return at_sheave_nm / gear_turns / efficiency
