"""What grooves of unequal radius feed, and the force that makes."""

from dataclasses import dataclass
from math import pi

from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because

PAIR_TENSION_RATIO = 0.10
NOISE_FACTOR = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """What one groove feeds more than another.

    Parameters
    ----------
    per_turn_mm : in one turn of the sheave [mm]
    per_trip_mm : over the whole travel, one way [mm]

    Raises nothing; feed_difference makes it.

    Source: derived; the effect is treated by Nakazawa et al. 2018.

    >>> Feed(per_turn_mm=0.628, per_trip_mm=10.0).per_trip_mm
    10.0
    """

    per_turn_mm: float
    per_trip_mm: float


def radius_from_diameter_mm(
    *, groove: TurnedGroove, diameter_difference_mm: float, on_edges: bool
) -> float:
    """Return the running radius that a thicker rope gains in its groove [mm].

    Parameters
    ----------
    groove : the groove as turned
    diameter_difference_mm : of the rope against another [mm], signed
    on_edges : whether it rests on the edges of an undercut and not in the seat

    Raises OutsideValidity for a difference that is not finite.

    Source: derived: half the difference in a fitted round seat, over sin(γ/2)
    in a V, over cos(β/2) on undercut edges.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> radius_from_diameter_mm(groove=VGroove(groove_angle_rad=radians(35)),
    ...     diameter_difference_mm=0.1, on_edges=False)
    0.166
    """
    require_finite(diameter_difference_mm=diameter_difference_mm)
    return diameter_difference_mm / 2.0 / groove.rise_ratio(on_edges=on_edges)


def feed_difference(
    *,
    radius_difference_mm: float,
    sheave_diameter_mm: float,
    rope_travel_m: float,
) -> Feed:
    """Return what a groove of another radius feeds per turn and per trip.

    Parameters
    ----------
    radius_difference_mm : δ of the running radii [mm], signed
    sheave_diameter_mm : D [mm], > 0
    rope_travel_m : L = i_r·H, rope over the sheave in one trip [m], > 0

    Raises OutsideValidity outside these ranges.

    Source: derived, 2·π·δ per turn and L·2·δ/D per trip; treated by Nakazawa
    et al. 2018, J. Phys. Conf. Ser. 1048 012006.

    >>> found = feed_difference(radius_difference_mm=0.1,
    ...     sheave_diameter_mm=600.0, rope_travel_m=30.0)
    >>> found.per_turn_mm, found.per_trip_mm
    (0.62832, 10.00)
    """
    require_finite(radius_difference_mm=radius_difference_mm)
    require_positive(sheave_diameter_mm=sheave_diameter_mm, rope_travel_m=rope_travel_m)
    return Feed(
        per_turn_mm=2.0 * pi * radius_difference_mm,
        per_trip_mm=2000.0 * rope_travel_m * radius_difference_mm / sheave_diameter_mm,
    )


def tension_from_feed_n(
    *, feed_mm: float, free_length_m: float, rope_stiffness_n: float
) -> float:
    """Return the force that a feed difference makes if nothing slips [N].

    Parameters
    ----------
    feed_mm : feed difference [mm], signed
    free_length_m : length of rope that takes it up [m], > 0
    rope_stiffness_n : E·A of one rope [N], > 0

    Raises OutsideValidity outside these ranges.

    Source: derived, Hooke's law: E·A·ΔL/L.

    >>> tension_from_feed_n(
    ...     feed_mm=10.0, free_length_m=30.0, rope_stiffness_n=3.54e6)
    1180.0
    """
    require_finite(feed_mm=feed_mm)
    require_positive(free_length_m=free_length_m, rope_stiffness_n=rope_stiffness_n)
    return rope_stiffness_n * feed_mm / (1000.0 * free_length_m)


def slip_onset_n(*, t1_n: float, t2_n: float, limit_ratio: float) -> float:
    """Return the tension difference at which a rope slips in its groove [N].

    Parameters
    ----------
    t1_n : greater force of one rope [N], > 0
    t2_n : smaller force of one rope [N], > 0
    limit_ratio : greatest T1/T2 its groove holds [-], >= 1

    Zero or less means that it slips as it is. A feed that would make more than
    this is taken up by slip, and wears that groove further.

    Raises OutsideValidity outside these ranges.

    Source: derived, T2·e^(f·α) - T1.

    >>> slip_onset_n(t1_n=4976.0, t2_n=3237.3, limit_ratio=1.7647)
    736.9
    """
    require_positive(t1_n=t1_n, t2_n=t2_n, limit_ratio=limit_ratio)
    if limit_ratio < 1.0:
        raise OutsideValidity(
            name="limit_ratio",
            value=limit_ratio,
            rule=because(Code.RULE_OR_MORE, least=1),
        )
    return t2_n * limit_ratio - t1_n


@dataclass(frozen=True, slots=True, kw_only=True)
class PairVerdict:
    """The two grooves of one rope in double wrap, against each other.

    Parameters
    ----------
    difference_mm : of their seat depths [mm]
    limit_mm : greatest difference [mm]
    tension_per_turn_n : force that one turn makes in the loop if nothing slips
        [N]
    noise_mm : difference that the measurement alone explains [mm]

    Raises nothing; judge_pair makes it.

    Source: derived.

    >>> PairVerdict(difference_mm=0.1, limit_mm=0.04, tension_per_turn_n=1112.0,
    ...     noise_mm=0.2).is_unequal
    False
    """

    difference_mm: float
    limit_mm: float
    tension_per_turn_n: float
    noise_mm: float

    @property
    def is_unequal(self) -> bool:
        """Whether the difference is beyond both limit and noise."""
        return self.difference_mm > max(self.limit_mm, self.noise_mm)

    @property
    def can_be_judged(self) -> bool:
        """Whether a difference at the limit would stand out from the noise."""
        return self.limit_mm >= self.noise_mm


def judge_pair(
    *,
    first_depth_mm: float,
    second_depth_mm: float,
    depth_sd_mm: float,
    rope_force_n: float,
    loop_length_m: float,
    rope_stiffness_n: float,
    tension_ratio: float = PAIR_TENSION_RATIO,
) -> PairVerdict:
    """Return whether the two grooves of a rope in double wrap are equal enough.

    Parameters
    ----------
    first_depth_mm : seat depth of the groove the car rope comes in on [mm], >= 0
    second_depth_mm : seat depth of the other groove [mm], >= 0
    depth_sd_mm : standard uncertainty of a seat depth [mm], >= 0
    rope_force_n : mean force of the rope [N], > 0
    loop_length_m : of the loop over the secondary sheave [m], > 0
    rope_stiffness_n : E·A of one rope [N], > 0
    tension_ratio : change of force in one turn that is allowed, over the
        rope's force [-], > 0

    Raises OutsideValidity outside these ranges.

    Source: derived, one turn makes E·A·2·π·δ/L; the 10 % of the rope's force
    is a rule of this program, no source.

    >>> found = judge_pair(first_depth_mm=0.6, second_depth_mm=0.5,
    ...     depth_sd_mm=0.01, rope_force_n=4500.0, loop_length_m=2.0,
    ...     rope_stiffness_n=3.54e6)
    >>> found.tension_per_turn_n, found.limit_mm, found.is_unequal
    (1112.1, 0.0405, True)
    """
    require_not_negative(
        first_depth_mm=first_depth_mm,
        second_depth_mm=second_depth_mm,
        depth_sd_mm=depth_sd_mm,
    )
    require_positive(
        rope_force_n=rope_force_n,
        loop_length_m=loop_length_m,
        rope_stiffness_n=rope_stiffness_n,
        tension_ratio=tension_ratio,
    )
    difference_mm = abs(first_depth_mm - second_depth_mm)
    per_mm_n = tension_from_feed_n(
        feed_mm=2.0 * pi,
        free_length_m=loop_length_m,
        rope_stiffness_n=rope_stiffness_n,
    )
    return PairVerdict(
        difference_mm=difference_mm,
        limit_mm=tension_ratio * rope_force_n / per_mm_n,
        tension_per_turn_n=per_mm_n * difference_mm,
        noise_mm=NOISE_FACTOR * 2.0**0.5 * depth_sd_mm,
    )
