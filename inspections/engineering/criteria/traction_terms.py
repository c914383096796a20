"""What a family of codes says about traction."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering.source import Certainty, Source


class TractionMethod(StrEnum):
    """How a family compares the tension ratio with what the groove holds."""

    FRICTION_FACTOR = "T1/T2 against exp(f a), by case"
    COEFFICIENTS = "T1/T2 C1 C2 at most exp(f a)"


@dataclass(frozen=True, slots=True, kw_only=True)
class TractionTerms:
    """Method, coefficients and allowances of one family.

    `borrowed` is true where the family prints no method: the computed result is then
    information and the field test decides. `c1_by_speed` are the floors of C1 up to a
    speed in m/s, and `c2_v` the allowance for wear of a V groove; both are empty or
    one where the method does not use them.
    """

    method: TractionMethod
    borrowed: bool
    source: Source
    mu_loading: float = 0.1
    mu_braking_base: float = 0.1
    braking_speed_m_s: float | None = 10.0
    mu_stalled: float | None = 0.2
    load_factor: float = 1.25
    retardation_m_s2: float = 0.5
    c1_by_speed: tuple[tuple[float, float], ...] = ()
    c2_v: float = 1.0


EN_81_50 = TractionTerms(
    method=TractionMethod.FRICTION_FACTOR,
    borrowed=False,
    source=Source(
        document="EN 81-50",
        edition="2014",
        clause="5.11.2 (the same in EN 81-1:1998 annex M)",
        certainty=Certainty.FROM_MEMORY,
    ),
)

EN_81_1_1985 = TractionTerms(
    method=TractionMethod.COEFFICIENTS,
    borrowed=False,
    source=Source(
        document="EN 81-1",
        edition="1985",
        clause="9.3, note",
        certainty=Certainty.FROM_MEMORY,
    ),
    mu_loading=0.09,
    mu_braking_base=0.09,
    braking_speed_m_s=None,
    mu_stalled=None,
    c1_by_speed=((0.63, 1.10), (1.0, 1.15), (1.6, 1.20), (2.5, 1.25)),
    c2_v=1.2,
)

GB_7588_TERMS = TractionTerms(
    method=TractionMethod.FRICTION_FACTOR,
    borrowed=False,
    source=Source(
        document="GB 7588",
        edition="2003",
        clause="annex M",
        certainty=Certainty.FROM_MEMORY,
    ),
)

BORROWED = TractionTerms(
    method=TractionMethod.FRICTION_FACTOR,
    borrowed=True,
    source=Source(
        document="EN 81-50",
        edition="2014",
        clause="5.11.2, borrowed: the family prints no friction factor",
        certainty=Certainty.FROM_MEMORY,
    ),
)
