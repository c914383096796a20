"""Creep of the rope over the sheave, what is more than creep, and what it wears."""

from dataclasses import dataclass
from math import log, sqrt
from statistics import fmean

from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because

# Rules of this program, no source.
CREEP_FACTOR = 2.5
NOISE_FACTOR = 3.0
FLOOR_MM = 10.0
LEAST_RUNS = 3


def elastic_creep_mm(
    *,
    rope_travel_m: float,
    t1_n: float,
    t2_n: float,
    exponent: float,
    wrap_angle_rad: float,
    sheave_diameter_mm: float,
    rope_stiffness_n: float,
) -> float:
    """Return how far a rope creeps over the sheave in one round trip [mm].

    Parameters
    ----------
    rope_travel_m : L = i_r·H, rope that runs over the sheave each way [m], > 0
    t1_n : greater force of one rope [N], > 0
    t2_n : smaller force of one rope [N], > 0, at most t1_n
    exponent : f·α over the wrap [-], above ln(T1/T2)
    wrap_angle_rad : α [rad], > 0
    sheave_diameter_mm : D = 2·R [mm], > 0
    rope_stiffness_n : E·A of one rope [N], > 0

    Towards the heavier side; not twice that. Validity: forces constant over the
    trip, a travel longer than the part of the arc that sticks.

    Raises OutsideValidity outside these ranges, and where the rope slips.

    Source: derived, c = (L - R·α_stick)·(T1 - T2)/(E·A) with
    α_stick = α - ln(T1/T2)/f; checked by a quasi-static simulation.

    >>> elastic_creep_mm(rope_travel_m=30.0, t1_n=6000.0, t2_n=4000.0,
    ...     exponent=0.576, wrap_angle_rad=2.88, sheave_diameter_mm=600.0,
    ...     rope_stiffness_n=3.53886e6)
    16.81
    """
    require_positive(
        rope_travel_m=rope_travel_m,
        wrap_angle_rad=wrap_angle_rad,
        sheave_diameter_mm=sheave_diameter_mm,
        rope_stiffness_n=rope_stiffness_n,
    )
    used = _used(t1_n=t1_n, t2_n=t2_n, exponent=exponent)
    sticking_mm = sheave_diameter_mm / 2.0 * wrap_angle_rad * (1.0 - used)
    moving_mm = 1000.0 * rope_travel_m - sticking_mm
    if moving_mm <= 0.0:
        raise OutsideValidity(
            name="rope_travel_m",
            value=rope_travel_m,
            rule=because(Code.RULE_ABOVE_STICKING, limit=sticking_mm / 1000.0),
        )
    return moving_mm * (t1_n - t2_n) / rope_stiffness_n


def _used(*, t1_n: float, t2_n: float, exponent: float) -> float:
    """Part of the wrap in which a rope that does not slip is creeping."""
    require_positive(t1_n=t1_n, t2_n=t2_n, exponent=exponent)
    if t2_n > t1_n:
        raise OutsideValidity(
            name="t2_n",
            value=t2_n,
            rule=because(Code.RULE_AT_MOST_NAMED, other="t1_n", limit=t1_n),
        )
    used = log(t1_n / t2_n) / exponent
    if used >= 1.0:
        raise OutsideValidity(
            name="exponent",
            value=exponent,
            rule=because(Code.RULE_OR_SLIPS, limit=log(t1_n / t2_n)),
        )
    return used


def sliding_per_turn_mm(
    *,
    sheave_diameter_mm: float,
    t1_n: float,
    t2_n: float,
    friction_factor: float,
    rope_stiffness_n: float,
) -> float:
    """Return the sliding that wears one place of the seat in one turn [mm].

    Parameters
    ----------
    sheave_diameter_mm : D [mm], > 0
    t1_n : greater force of one rope [N], > 0
    t2_n : smaller force of one rope [N], > 0, at most t1_n
    friction_factor : f [-], > 0
    rope_stiffness_n : E·A of one rope [N], > 0

    Raises OutsideValidity outside these ranges.

    Source: derived, D/(2·f·E·A)·(T1·ln(T1/T2) - (T1 - T2)); checked by
    quadrature.

    >>> sliding_per_turn_mm(sheave_diameter_mm=600.0, t1_n=6000.0, t2_n=4000.0,
    ...     friction_factor=0.2, rope_stiffness_n=3.54e6)
    0.1834
    """
    require_positive(
        sheave_diameter_mm=sheave_diameter_mm,
        t1_n=t1_n,
        t2_n=t2_n,
        friction_factor=friction_factor,
        rope_stiffness_n=rope_stiffness_n,
    )
    if t2_n > t1_n:
        raise OutsideValidity(
            name="t2_n",
            value=t2_n,
            rule=because(Code.RULE_AT_MOST_NAMED, other="t1_n", limit=t1_n),
        )
    work_n = t1_n * log(t1_n / t2_n) - (t1_n - t2_n)
    return sheave_diameter_mm * work_n / (2.0 * friction_factor * rope_stiffness_n)


@dataclass(frozen=True, slots=True, kw_only=True)
class LostMotion:
    """Measured offset of rope marks against the creep that is normal.

    Parameters
    ----------
    mean_mm : mean offset of one round trip, without what the sheave itself
        moved against the frame [mm]
    creep_mm : calculated creep of one round trip [mm]
    over_creep : more than 2.5 times the calculated creep
    over_noise : more than 3 standard deviations of the mean
    over_floor : more than the absolute floor
    brake_excluded : whether a mark from sheave to frame was read; without one a
        sliding brake reads as a slipping rope

    Raises nothing; judge_lost_motion makes it.

    Source: rules of this program, no source.

    >>> LostMotion(mean_mm=40.0, creep_mm=5.0, over_creep=True, over_noise=True,
    ...     over_floor=True, brake_excluded=True).is_slip
    True
    """

    mean_mm: float
    creep_mm: float
    over_creep: bool
    over_noise: bool
    over_floor: bool
    brake_excluded: bool

    @property
    def is_slip(self) -> bool:
        """Whether all three conditions are met."""
        return self.over_creep and self.over_noise and self.over_floor


def judge_lost_motion(
    *,
    offsets_mm: tuple[float, ...],
    creep_mm: float,
    offset_sd_mm: float,
    frame_offset_mm: float | None,
    floor_mm: float = FLOOR_MM,
) -> LostMotion:
    """Return whether rope marks moved by more than creep.

    Parameters
    ----------
    offsets_mm : offset of one rope after each round trip with the empty car
        [mm], signed; three runs or more
    creep_mm : calculated creep of one round trip [mm], >= 0
    offset_sd_mm : standard uncertainty of one offset [mm], >= 0
    frame_offset_mm : how far the sheave's mark had moved against the frame, in
        the same sense [mm]; None where nobody looked
    floor_mm : offset below which nothing is called slip [mm], >= 0

    Raises OutsideValidity outside these ranges or for fewer runs.

    Source: rules of this program, no source: over 2.5 times the creep, over 3
    standard deviations, and over the floor, all three.

    >>> judge_lost_motion(offsets_mm=(38.0, 42.0, 40.0), creep_mm=5.0,
    ...     offset_sd_mm=1.0, frame_offset_mm=0.0).is_slip
    True
    """
    require_finite(**{f"offsets_mm_{i}": x for i, x in enumerate(offsets_mm, 1)})
    require_not_negative(
        creep_mm=creep_mm, offset_sd_mm=offset_sd_mm, floor_mm=floor_mm
    )
    if len(offsets_mm) < LEAST_RUNS:
        raise OutsideValidity(
            name="offsets_mm",
            value=len(offsets_mm),
            rule=because(Code.RULE_RUNS, least=LEAST_RUNS),
        )
    if frame_offset_mm is not None:
        require_finite(frame_offset_mm=frame_offset_mm)
    mean_mm = fmean(offsets_mm) - (frame_offset_mm or 0.0)
    noise_mm = NOISE_FACTOR * offset_sd_mm / sqrt(len(offsets_mm))
    return LostMotion(
        mean_mm=mean_mm,
        creep_mm=creep_mm,
        over_creep=abs(mean_mm) > CREEP_FACTOR * creep_mm,
        over_noise=abs(mean_mm) > noise_mm,
        over_floor=abs(mean_mm) > floor_mm,
        brake_excluded=frame_offset_mm is not None,
    )
