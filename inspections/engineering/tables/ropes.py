"""Factors, grades and tolerances of lift ropes."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering.source import Certainty, Source


class Construction(StrEnum):
    """The classes of round strand rope for which factors are tabulated."""

    SIX_FIBRE = "6x19 fibre core"
    EIGHT_FIBRE = "8x19 fibre core"
    SIX_STEEL = "6x19 steel core"
    EIGHT_STEEL = "8x19 steel core"
    SIX_SEVEN_FIBRE = "6x7 fibre core"


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeFactors:
    """Factors that turn d squared into breaking force, mass and metallic area.

    Parameters
    ----------
    breaking_force : K, breaking force over d² and grade [-]
    mass : W, mass over d² [kg/(100 m mm²)]
    area : C, metallic area over d² [-], None if not tabulated
    strands : number of outer strands [-]
    fibre_core : whether the core is fibre
    source : where the factors were read
    """

    breaking_force: float
    mass: float
    area: float | None
    strands: int
    fibre_core: bool
    source: Source


_FEYRER = Source(
    document="K. Feyrer, Wire Ropes, 2nd ed.",
    edition="2015",
    clause="table 1.9 (factors of EN 12385)",
    certainty=Certainty.CONFIRMED,
)
# K and W of 6x7 are from memory; they give every printed row of the table.
_API = Source(
    document="API Spec 9A, Specification for Wire Rope",
    clause="table C.1",
    certainty=Certainty.CONFIRMED,
)

FACTORS = {
    Construction.SIX_FIBRE: RopeFactors(
        breaking_force=0.330,
        mass=0.359,
        area=0.384,
        strands=6,
        fibre_core=True,
        source=_FEYRER,
    ),
    Construction.EIGHT_FIBRE: RopeFactors(
        breaking_force=0.293,
        mass=0.340,
        area=0.349,
        strands=8,
        fibre_core=True,
        source=_FEYRER,
    ),
    Construction.SIX_STEEL: RopeFactors(
        breaking_force=0.356,
        mass=0.400,
        area=0.449,
        strands=6,
        fibre_core=False,
        source=_FEYRER,
    ),
    Construction.EIGHT_STEEL: RopeFactors(
        breaking_force=0.356,
        mass=0.407,
        area=0.457,
        strands=8,
        fibre_core=False,
        source=_FEYRER,
    ),
    Construction.SIX_SEVEN_FIBRE: RopeFactors(
        breaking_force=0.332,
        mass=0.345,
        area=None,
        strands=6,
        fibre_core=True,
        source=_API,
    ),
}

# Outer/inner wire grade to the grade that stands for both.
DUAL_GRADES_MPA = {
    (1180, 1770): 1370.0,
    (1320, 1620): 1410.0,
    (1370, 1770): 1500.0,
    (1570, 1770): 1640.0,
}
DUAL_GRADES_SOURCE = Source(
    document="EN 12385-5", clause="dual tensile grades", certainty=Certainty.FROM_MEMORY
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DiameterTolerance:
    """New rope: greatest unloaded, least at 5 % and at 10 % of breaking force."""

    unloaded_percent: float
    at_5_percent_load_percent: float
    at_10_percent_load_percent: float


DIAMETER_TOLERANCE_SOURCE = Source(
    document="EN 12385-5 / ISO 4344",
    clause="diameter tolerance",
    certainty=Certainty.FROM_MEMORY,
)
# Key: (10 mm or less, fibre core).
DIAMETER_TOLERANCES = {
    (True, True): DiameterTolerance(
        unloaded_percent=6, at_5_percent_load_percent=1, at_10_percent_load_percent=0
    ),
    (True, False): DiameterTolerance(
        unloaded_percent=3, at_5_percent_load_percent=0, at_10_percent_load_percent=-1
    ),
    (False, True): DiameterTolerance(
        unloaded_percent=5, at_5_percent_load_percent=1, at_10_percent_load_percent=0
    ),
    (False, False): DiameterTolerance(
        unloaded_percent=2, at_5_percent_load_percent=0, at_10_percent_load_percent=-1
    ),
}
