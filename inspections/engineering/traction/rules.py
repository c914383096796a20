"""What a code of rules says about traction: cases, coefficients, allowances."""

from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.source import Certainty
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because


class LoadCase(StrEnum):
    """A situation in which the rope must hold, or must be able to slip."""

    LOADING = "LOADING"
    BRAKING_FULL = "BRAKING_FULL"
    BRAKING_EMPTY = "BRAKING_EMPTY"
    STALLED_COUNTERWEIGHT = "STALLED_COUNTERWEIGHT"
    STALLED_CAR = "STALLED_CAR"

    def __init__(self, code: str) -> None:
        self.is_stalled = code.startswith("STALLED_")
        """Whether the rope must slip in this case, and not hold."""
        self.is_braking = code.startswith("BRAKING_")
        """Whether the masses are being retarded in this case."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TractionRules:
    """The traction part of a criteria set.

    Parameters
    ----------
    method : name of the method, for people to read
    source : clause and edition the values come from
    status : how sure they are
    borrowed : True where the machine's own code prints no traction method and
        this one is taken from another; there the test decides
    mu_loading : μ for loading [-], > 0
    mu_braking_base : μ0 for braking [-], > 0; μ = μ0/(1 + v/v0)
    braking_speed_m_s : v0 of that formula [m/s], > 0; None for a μ that does
        not depend on speed
    mu_stalled : μ for the stalled cases [-], > 0
    load_factor : load in the car when loading, as part of the rated load [-],
        >= 1
    retardation_m_s2 : a of the car in braking [m/s²], >= 0; 0 only where
        dynamic_factors stand for it
    cases : the cases the code asks for, one or more
    dynamic_factors : (rated speed up to [m/s], factor [-]) in rising order, by
        which T1/T2 is multiplied; empty where braking has its own retardation
    bottom_allowance_mm : clearance to the bottom at which to act, never 0
        [mm], >= 0

    Raises OutsideValidity outside these ranges.

    Source: EN 81-50:2014 5.11.2 for the standard values (cases confirmed,
    coefficients from memory); the bottom allowance is common practice.

    >>> from inspections.engineering.source import Certainty
    >>> rules = TractionRules(method="EN 81-50", source="EN 81-50:2014 5.11.2",
    ...     status=Certainty.FROM_MEMORY, borrowed=False)
    >>> rules.mu_stalled
    0.2
    """

    method: str
    source: str
    status: Certainty
    borrowed: bool
    mu_loading: float = 0.1
    mu_braking_base: float = 0.1
    braking_speed_m_s: float | None = 10.0
    mu_stalled: float = 0.2
    load_factor: float = 1.25
    retardation_m_s2: float = 0.5
    cases: tuple[LoadCase, ...] = tuple(LoadCase)
    dynamic_factors: tuple[tuple[float, float], ...] = ()
    bottom_allowance_mm: float = 0.5

    def __post_init__(self) -> None:
        require_positive(
            mu_loading=self.mu_loading,
            mu_braking_base=self.mu_braking_base,
            mu_stalled=self.mu_stalled,
        )
        if self.braking_speed_m_s is not None:
            require_positive(braking_speed_m_s=self.braking_speed_m_s)
        require_not_negative(
            retardation_m_s2=self.retardation_m_s2,
            bottom_allowance_mm=self.bottom_allowance_mm,
        )
        if not self.cases:
            raise OutsideValidity(
                name="cases", value=0, rule=because(Code.RULE_ONE_CASE)
            )
        if not self.load_factor >= 1.0:
            raise OutsideValidity(
                name="load_factor",
                value=self.load_factor,
                rule=because(Code.RULE_OR_MORE, least=1),
            )
        if self.retardation_m_s2 == 0.0 and not self.dynamic_factors:
            raise OutsideValidity(
                name="retardation_m_s2",
                value=self.retardation_m_s2,
                rule=because(Code.RULE_NO_FACTORS),
            )


EN_81_50 = TractionRules(
    method="EN 81-50",
    source="EN 81-50:2014 5.11.2; same mathematics in EN 81-1:1998 Annex M",
    status=Certainty.FROM_MEMORY,
    borrowed=False,
)

EN_81_1_1985 = TractionRules(
    method="EN 81-1:1985",
    source="EN 81-1:1985 clause 9, T1/T2·C1 <= exp(f·α)",
    # μ and the two cases also stand in the note "Traction", which was read.
    status=Certainty.FROM_MEMORY,
    borrowed=False,
    mu_loading=0.09,
    mu_braking_base=0.09,
    braking_speed_m_s=None,
    retardation_m_s2=0.0,
    cases=(LoadCase.LOADING, LoadCase.BRAKING_EMPTY),
    dynamic_factors=((0.63, 1.10), (1.0, 1.15), (1.6, 1.20), (2.5, 1.25)),
)


def friction_coefficient(
    *, rules: TractionRules, case: LoadCase, rope_speed_m_s: float
) -> float:
    """Return the coefficient of friction μ that a code takes for a case [-].

    Parameters
    ----------
    rules : the code's values
    case : the load case
    rope_speed_m_s : v, speed of the rope at rated car speed [m/s], > 0

    Raises OutsideValidity for a speed that is not positive.

    Source: EN 81-50:2014 5.11.2.2.2 (from memory): 0.1 loading,
    0.1/(1 + v/10) braking, 0.2 stalled.

    >>> friction_coefficient(
    ...     rules=EN_81_50, case=LoadCase.BRAKING_FULL, rope_speed_m_s=1.6)
    0.0862069
    """
    if not 0.0 < rope_speed_m_s < inf:
        require_positive(rope_speed_m_s=rope_speed_m_s)
    if case.is_stalled:
        return rules.mu_stalled
    if case is LoadCase.LOADING:
        return rules.mu_loading
    if rules.braking_speed_m_s is None:
        return rules.mu_braking_base
    return rules.mu_braking_base / (1.0 + rope_speed_m_s / rules.braking_speed_m_s)


def braking_harder(*, rules: TractionRules, retardation_m_s2: float) -> TractionRules:
    """Return a code's rules for a machine that brakes harder than they suppose.

    Parameters
    ----------
    rules : the code's values
    retardation_m_s2 : a of the car as the machine brakes [m/s²], >= 0, below g_n

    What is softer than the code supposes changes nothing. Where a factor stands for
    the retardation, the masses are not retarded beside it: the factor grows instead.
    From g_n on no factor can; the masses are retarded, which their tensions refuse.

    Raises OutsideValidity for a retardation below 0.

    Source: EN 81-50:2014 5.11.2.1.2 (a as the machine has it, confirmed in the wording
    of that clause); EN 81-1:1985 clause 9, C1 = (g_n + a)/(g_n - a) and never below
    the printed factors (from memory).

    >>> harder = braking_harder(rules=EN_81_1_1985, retardation_m_s2=1.0)
    >>> harder.dynamic_factors[1], harder.retardation_m_s2
    ((1.0, 1.227), 0.0)
    >>> braking_harder(rules=EN_81_1_1985, retardation_m_s2=0.2) == EN_81_1_1985
    True
    """
    require_not_negative(retardation_m_s2=retardation_m_s2)
    if not rules.dynamic_factors or retardation_m_s2 >= GRAVITY_M_S2:
        harder = max(rules.retardation_m_s2, retardation_m_s2)
        return replace(rules, retardation_m_s2=harder)
    least = (GRAVITY_M_S2 + retardation_m_s2) / (GRAVITY_M_S2 - retardation_m_s2)
    return replace(
        rules,
        dynamic_factors=tuple(
            (up_to_m_s, max(factor, least))
            for up_to_m_s, factor in rules.dynamic_factors
        ),
    )


def dynamic_factor(
    *, rules: TractionRules, case: LoadCase, rated_speed_m_s: float
) -> float:
    """Return the factor by which a code multiplies the static T1/T2 [-].

    Parameters
    ----------
    rules : the code's values
    case : the load case
    rated_speed_m_s : rated speed of the car [m/s], > 0

    1 for the stalled cases, and where the code retards the masses instead.

    Raises OutsideValidity for a speed the code's table does not reach.

    Source: EN 81-1:1985 clause 9 (from memory), C1 >= 1.10, 1.15, 1.20, 1.25
    up to 0.63, 1.0, 1.6, 2.5 m/s.

    >>> dynamic_factor(
    ...     rules=EN_81_1_1985, case=LoadCase.LOADING, rated_speed_m_s=1.0)
    1.15
    """
    if not 0.0 < rated_speed_m_s < inf:
        require_positive(rated_speed_m_s=rated_speed_m_s)
    if case.is_stalled or not rules.dynamic_factors:
        return 1.0
    for up_to_m_s, factor in rules.dynamic_factors:
        if rated_speed_m_s <= up_to_m_s:
            return factor
    raise OutsideValidity(
        name="rated_speed_m_s",
        value=rated_speed_m_s,
        rule=because(Code.RULE_TABLE_ENDS, limit=rules.dynamic_factors[-1][0]),
    )
