"""Breaking force, mass and metallic area of a rope."""

from dataclasses import dataclass

from inspections.engineering.source import Source
from inspections.engineering.tables.ropes import (
    DIAMETER_TOLERANCES,
    DUAL_GRADES_MPA,
    FACTORS,
    Construction,
    DiameterTolerance,
)
from inspections.engineering.validity import (
    OutsideValidity,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because

_SMALL_ROPE_MM = 10.0
# Wire grades of lift ropes; outside them a number is a slip of the pen.
_GRADE_LOW_MPA, _GRADE_HIGH_MPA = 1000.0, 2200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """What a rope's certificate states. None is "not stated"."""

    breaking_force_n: float | None = None
    mass_kg_per_m: float | None = None
    area_mm2: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeProperties:
    """One rope. `from_certificate` names the values that the certificate gave."""

    breaking_force_n: float
    mass_kg_per_m: float
    area_mm2: float | None
    from_certificate: tuple[str, ...]
    source: Source


def grade_mpa(*, outer_mpa: float, inner_mpa: float) -> float:
    """Return R_r, the grade that stands for outer and inner wires.

    Parameters
    ----------
    outer_mpa : grade of the outer wires [MPa], 1000 to 2200
    inner_mpa : grade of the inner wires [MPa], 1000 to 2200

    Raises OutsideValidity for a pair that is not tabulated; take the certificate then.

    Source: EN 12385-5, dual tensile grades (from memory, to be confirmed).

    >>> grade_mpa(outer_mpa=1370, inner_mpa=1770)
    1500.0
    """
    require_within(
        low=_GRADE_LOW_MPA,
        high=_GRADE_HIGH_MPA,
        outer_mpa=outer_mpa,
        inner_mpa=inner_mpa,
    )
    if outer_mpa == inner_mpa:
        return float(outer_mpa)
    pair = (round(outer_mpa), round(inner_mpa))
    if pair not in DUAL_GRADES_MPA:
        known = ", ".join(f"{outer}/{inner}" for outer, inner in DUAL_GRADES_MPA)
        raise OutsideValidity(
            name=f"inner_mpa beside outer_mpa {outer_mpa:g}",
            value=inner_mpa,
            rule=because(Code.RULE_GRADE_PAIRS, pairs=known),
        )
    return DUAL_GRADES_MPA[pair]


def properties(
    *,
    construction: Construction,
    rope_diameter_mm: float,
    grade_mpa: float,
    certificate: Certificate | None = None,
) -> RopeProperties:
    """Return breaking force, mass and area: F = K·d²·R, m = W·d²/100, A = C·d².

    Each value that the certificate states prevails over the factors.

    Parameters
    ----------
    construction : class of rope, which gives K, W and C
    rope_diameter_mm : d, nominal rope diameter [mm], > 0
    grade_mpa : R_r, rope grade [MPa], 1000 to 2200
    certificate : what the rope's certificate states

    Raises OutsideValidity for sizes that are not positive or a grade out of range.

    Source: K. Feyrer, Wire Ropes, 2nd ed. 2015, table 1.9 (factors of EN 12385); mass
    of a 16 mm 8x19 fibre core rope in example 3.12.

    >>> rope = properties(construction=Construction.EIGHT_FIBRE,
    ...                   rope_diameter_mm=16.0, grade_mpa=1570.0)
    >>> rope.mass_kg_per_m
    0.8704
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    require_within(low=_GRADE_LOW_MPA, high=_GRADE_HIGH_MPA, grade_mpa=grade_mpa)
    factors = FACTORS[construction]
    square = rope_diameter_mm**2
    stated = _stated(certificate or Certificate())
    area = None if factors.area is None else factors.area * square
    return RopeProperties(
        breaking_force_n=stated.get(
            "breaking_force_n", factors.breaking_force * square * grade_mpa
        ),
        mass_kg_per_m=stated.get("mass_kg_per_m", factors.mass * square / 100.0),
        area_mm2=stated.get("area_mm2", area),
        from_certificate=tuple(stated),
        source=factors.source,
    )


def new_diameter_tolerance(
    *, rope_diameter_mm: float, fibre_core: bool
) -> DiameterTolerance:
    """Return the tolerance on the diameter of a new lift rope.

    Parameters
    ----------
    rope_diameter_mm : d, nominal rope diameter [mm], > 0
    fibre_core : whether the core is fibre

    Raises OutsideValidity for a diameter that is not positive.

    Source: EN 12385-5 / ISO 4344 as printed in a rope supplier's table (confirmed).

    >>> new_diameter_tolerance(rope_diameter_mm=13.0, fibre_core=True).unloaded_percent
    5
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    return DIAMETER_TOLERANCES[rope_diameter_mm <= _SMALL_ROPE_MM, fibre_core]


def _stated(certificate: Certificate) -> dict[str, float]:
    values = {
        "breaking_force_n": certificate.breaking_force_n,
        "mass_kg_per_m": certificate.mass_kg_per_m,
        "area_mm2": certificate.area_mm2,
    }
    stated = {name: value for name, value in values.items() if value is not None}
    require_positive(**stated)
    return stated
