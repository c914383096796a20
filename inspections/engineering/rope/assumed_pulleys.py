"""Required safety factor where the pulleys are not registered."""

from dataclasses import dataclass

from inspections.engineering.answer import Answer, Axis, answer_of
from inspections.engineering.rope.pulleys import REVERSE_BEND_WEIGHT
from inspections.engineering.rope.safety import safety_factor_en
from inspections.engineering.unknowns import axis_of, find
from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.reasons import Code, because


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredRange:
    """The required safety factor between the least and the most pulleys assumed.

    Parameters
    ----------
    least_factor : with the fewest and largest pulleys [-]
    typical_factor : with usual pulleys [-]
    most_factor : with the most and smallest pulleys [-]
    assumed : what was assumed: number, reverse bends, diameter [mm]

    Raises nothing; required_range makes it.

    Source: derived from EN 81-50:2014, 5.12.

    >>> RequiredRange(least_factor=13.1, typical_factor=15.1, most_factor=17.0,
    ...     assumed=()).answer(actual_factor=16.0)
    <Answer.OPEN: 'OPEN'>
    """

    least_factor: float
    typical_factor: float
    most_factor: float
    assumed: tuple[Axis, ...]

    def answer(self, *, actual_factor: float) -> Answer:
        """Return the answer on the safety factor there is [-]."""
        return answer_of(
            worst_margin=actual_factor - self.most_factor,
            best_margin=actual_factor - self.least_factor,
        )


def required_range(
    *,
    sheave_equivalent: float,
    sheave_diameter_mm: float,
    rope_diameter_mm: float,
    roping_ratio: int,
    floor_factor: float,
) -> RequiredRange:
    """Return the required safety factor with pulleys that nobody registered.

    Parameters
    ----------
    sheave_equivalent : N_equiv(t) of the drive sheave's groove [-], >= 1
    sheave_diameter_mm : D_t [mm], > d
    rope_diameter_mm : d, nominal [mm], > 0
    roping_ratio : i_r [-], 1 or 2
    floor_factor : the least the code allows [-], > 0

    Raises OutsideValidity outside these ranges.

    Source: EN 81-50:2014, 5.12.2 and 5.12.3; numbers and diameters of the pulleys by
    the table of unknowns, common practice, no source.

    >>> found = required_range(sheave_equivalent=5.0, sheave_diameter_mm=520.0,
    ...     rope_diameter_mm=13.0, roping_ratio=2, floor_factor=12.0)
    >>> found.least_factor, found.most_factor
    (15.3, 20.5)
    """
    require_positive(
        sheave_equivalent=sheave_equivalent,
        sheave_diameter_mm=sheave_diameter_mm,
        rope_diameter_mm=rope_diameter_mm,
        floor_factor=floor_factor,
    )
    rows = {1: "pulleys_one_to_one", 2: "pulleys_two_to_one"}
    if roping_ratio not in rows:
        raise OutsideValidity(
            name="roping_ratio", value=roping_ratio, rule=because(Code.RULE_ONE_OR_TWO)
        )
    number = axis_of(unknown=find(name=rows[roping_ratio]))
    reverse = axis_of(unknown=find(name="reverse_bends"))
    diameter = axis_of(
        unknown=find(name="pulley_diameter_mm"), of_value=rope_diameter_mm
    )

    def required(pulleys: float, reversed_: float, pulley_mm: float) -> float:
        weighted = pulleys + (REVERSE_BEND_WEIGHT - 1.0) * min(reversed_, pulleys)
        equivalent = (sheave_diameter_mm / pulley_mm) ** 4 * weighted
        computed = safety_factor_en(
            equivalent_pulleys=sheave_equivalent + equivalent,
            diameter_ratio=sheave_diameter_mm / rope_diameter_mm,
        )
        return max(computed, floor_factor)

    return RequiredRange(
        least_factor=required(number.low, reverse.low, diameter.high),
        typical_factor=required(number.typical, reverse.typical, diameter.typical),
        most_factor=required(number.high, reverse.high, diameter.low),
        assumed=(number, reverse, diameter),
    )
