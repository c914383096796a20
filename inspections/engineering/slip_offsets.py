"""Offsets of rope marks after round trips, the creep that is normal being unsure."""

from dataclasses import dataclass

from inspections.engineering.answer import Answer, Axis, answer_of
from inspections.engineering.slip import (
    CREEP_FACTOR,
    FLOOR_MM,
    LEAST_RUNS,
    NOISE_FACTOR,
    elastic_creep_mm,
)
from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because

# A rope with a safety factor of 12 is stressed to 124 MPa (8x19 fibre core of 1770
# MPa: 0.293/0.349·1770/12) and stretches by that over the least plausible modulus.
_GREATEST_STRAIN = 124.0 / 45_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetAnswer:
    """Offsets of one rope's mark against the creep that is normal.

    Parameters
    ----------
    answer : BEYOND where the largest offset is more than any plausible creep
        explains, WITHIN where it is less than the least creep needs and there were
        runs enough, else OPEN
    largest_mm : the largest offset of one round trip, in size [mm]
    allowed_least_mm : what is still creep with the stiffest ropes [mm]
    allowed_typical_mm : what is still creep with usual ropes [mm]
    allowed_most_mm : what is still creep with the softest ropes [mm]
    runs : number of round trips that were read [-]
    brake_excluded : whether a mark from sheave to frame was read and had not moved;
        else a sliding brake reads the same, which is no better

    Raises nothing; judge_offsets makes it.

    Source: rules of this program, no source.

    >>> OffsetAnswer(answer=Answer.BEYOND, largest_mm=500.0, allowed_least_mm=20.0,
    ...     allowed_typical_mm=30.0, allowed_most_mm=60.0, runs=2,
    ...     brake_excluded=False).decided_by_creep
    False
    """

    answer: Answer
    largest_mm: float
    allowed_least_mm: float
    allowed_typical_mm: float
    allowed_most_mm: float
    runs: int
    brake_excluded: bool

    @property
    def decided_by_creep(self) -> bool:
        """Whether the answer hangs on the stiffness of the ropes."""
        return self.allowed_least_mm < self.largest_mm <= self.allowed_most_mm


def judge_offsets(
    *,
    offsets_mm: tuple[float, ...],
    creep_mm: Axis,
    offset_sd_mm: float,
    frame_offset_mm: float | None,
    floor_mm: float = FLOOR_MM,
) -> OffsetAnswer:
    """Return the answer on rope marks, judged by the largest offset.

    Parameters
    ----------
    offsets_mm : offset of one rope after each round trip [mm], signed; one run or
        more, whatever the load
    creep_mm : calculated creep of one round trip with that load, between the
        stiffest and the softest ropes [mm], >= 0
    offset_sd_mm : standard uncertainty of one offset [mm], >= 0
    frame_offset_mm : how far the sheave's mark had moved against the frame, in the
        same sense [mm]; None where nobody looked or it moved by an unknown way, and
        then nothing is taken off the offsets
    floor_mm : offset below which nothing is called slip [mm], >= 0

    Offsets of opposite sign do not cancel: a rope that slips up and down slips. One
    run is enough to be beyond, three are needed to be within.

    Raises OutsideValidity outside these ranges.

    Source: rules of this program, no source: over 2.5 times the creep, over 3
    standard deviations, and over the floor, all three.

    >>> unsure = Axis(name="creep_mm", low=8.0, typical=15.0, high=25.0)
    >>> judge_offsets(offsets_mm=(300.0, -300.0, 5.0), creep_mm=unsure,
    ...     offset_sd_mm=1.5, frame_offset_mm=0.0).answer
    <Answer.BEYOND: 'BEYOND'>
    """
    _check_offsets(offsets_mm, frame_offset_mm)
    require_not_negative(
        creep_mm=creep_mm.low, offset_sd_mm=offset_sd_mm, floor_mm=floor_mm
    )
    largest = max(abs(offset - (frame_offset_mm or 0.0)) for offset in offsets_mm)
    least_mm = max(NOISE_FACTOR * offset_sd_mm, floor_mm)
    allowed = [
        max(CREEP_FACTOR * creep, least_mm)
        for creep in (creep_mm.low, creep_mm.typical, creep_mm.high)
    ]
    answer = answer_of(
        worst_margin=allowed[0] - largest, best_margin=allowed[2] - largest
    )
    if answer is Answer.WITHIN and len(offsets_mm) < LEAST_RUNS:
        answer = Answer.OPEN
    return OffsetAnswer(
        answer=answer,
        largest_mm=largest,
        allowed_least_mm=allowed[0],
        allowed_typical_mm=allowed[1],
        allowed_most_mm=allowed[2],
        runs=len(offsets_mm),
        brake_excluded=frame_offset_mm is not None,
    )


def creep_range_mm(
    *,
    rope_travel_m: float,
    t1_n: float,
    t2_n: float,
    exponent: float,
    wrap_angle_rad: float,
    sheave_diameter_mm: float,
    modulus_mpa: Axis,
    area_mm2: Axis,
) -> Axis:
    """Return the creep of one round trip between the stiffest and softest ropes [mm].

    Parameters
    ----------
    rope_travel_m : L = i_r·H, rope that runs over the sheave each way [m], > 0
    t1_n : greater force of one rope with the load of the test [N], > 0
    t2_n : smaller force of one rope with that load [N], > 0, at most t1_n
    exponent : f·α over the wrap [-], above ln(T1/T2)
    wrap_angle_rad : α [rad], > 0
    sheave_diameter_mm : D [mm], > 0
    modulus_mpa : E of the rope [MPa], > 0
    area_mm2 : A, metallic area of one rope [mm²], > 0

    Raises OutsideValidity as elastic_creep_mm does.

    Source: derived, as elastic_creep_mm; it falls with E·A.

    >>> found = creep_range_mm(rope_travel_m=30.0, t1_n=6000.0, t2_n=4000.0,
    ...     exponent=0.576, wrap_angle_rad=2.88, sheave_diameter_mm=600.0,
    ...     modulus_mpa=Axis(name="modulus_mpa", low=45e3, typical=60e3, high=75e3),
    ...     area_mm2=Axis(name="area_mm2", low=59.0, typical=59.0, high=59.0))
    >>> found.low, found.high
    (13.4, 22.4)
    """
    require_positive(modulus_mpa=modulus_mpa.low, area_mm2=area_mm2.low)
    creep = [
        elastic_creep_mm(
            rope_travel_m=rope_travel_m,
            t1_n=t1_n,
            t2_n=t2_n,
            exponent=exponent,
            wrap_angle_rad=wrap_angle_rad,
            sheave_diameter_mm=sheave_diameter_mm,
            rope_stiffness_n=stiffness_n,
        )
        for stiffness_n in (
            modulus_mpa.high * area_mm2.high,
            modulus_mpa.typical * area_mm2.typical,
            modulus_mpa.low * area_mm2.low,
        )
    ]
    return Axis(
        name="creep_mm",
        low=creep[0],
        typical=creep[1],
        high=creep[2],
        group="rope_stiffness",
    )


def creep_unknown_mm(*, rope_travel_m: float) -> Axis:
    """Return the creep of one round trip where not even the forces are known [mm].

    Parameters
    ----------
    rope_travel_m : L = i_r·H, rope that runs over the sheave each way [m], > 0

    From none, a balanced car, to that of ropes loaded on one side only.

    Raises OutsideValidity for a travel that is not positive.

    Source: derived, strain at most 124 MPa over 45 000 MPa, 2.8 mm for each metre; the
    typical 0.28 mm for each metre is that of 1000 N on a 13 mm rope.

    >>> creep_unknown_mm(rope_travel_m=30.0).high
    82.7
    """
    require_positive(rope_travel_m=rope_travel_m)
    return Axis(
        name="creep_mm",
        low=0.0,
        typical=0.28 * rope_travel_m,
        high=1000.0 * rope_travel_m * _GREATEST_STRAIN,
        group="masses and ropes",
    )


def _check_offsets(
    offsets_mm: tuple[float, ...], frame_offset_mm: float | None
) -> None:
    if not offsets_mm:
        raise OutsideValidity(
            name="offsets_mm", value=0, rule=because(Code.RULE_OR_MORE, least=1)
        )
    require_finite(**{f"offsets_mm_{i}": x for i, x in enumerate(offsets_mm, 1)})
    if frame_offset_mm is not None:
        require_finite(frame_offset_mm=frame_offset_mm)
