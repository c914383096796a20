"""Friction bounded by tests on the machine: by a hold from below, a slip from above."""

from dataclasses import dataclass
from datetime import date
from math import log

from inspections.engineering.validity import require_positive

# Lubrication changes; our rule.
GREATEST_AGE_DAYS = 365


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionTest:
    """One test on the machine, in the state of lubrication of its day.

    Parameters
    ----------
    tested_on : the day
    held : whether the ropes held; else they slipped
    tension_ratio : T1/T2 as tested [-], > 1
    factor_ratio : f/μ of the groove on that day [-], > 0: of a hold the greatest that
        it may have had, of a slip the least
    wrap_rad : α over all passes [rad], > 0

    Raises OutsideValidity outside these ranges.

    Source: own definition.

    >>> FrictionTest(tested_on=date(2026, 5, 1), held=True, tension_ratio=1.6,
    ...     factor_ratio=2.0, wrap_rad=2.88).mu
    0.0816
    """

    tested_on: date
    held: bool
    tension_ratio: float
    factor_ratio: float
    wrap_rad: float

    def __post_init__(self) -> None:
        require_positive(
            factor_ratio=self.factor_ratio,
            wrap_rad=self.wrap_rad,
            excess_ratio=self.tension_ratio - 1.0,
        )

    @property
    def mu(self) -> float:
        """ln(T1/T2)/(f/μ·α): what held shows at least, what slipped at most [-]."""
        return log(self.tension_ratio) / (self.factor_ratio * self.wrap_rad)


@dataclass(frozen=True, slots=True, kw_only=True)
class LearntFriction:
    """What friction lies between by tests on the machine; None is not bounded.

    Parameters
    ----------
    least : μ is at least that, by a hold [-]
    most : μ is at most that, by a slip [-]

    A slip below a hold tells that lubrication changed between them: both stand.

    Raises nothing; learnt_friction makes it.

    Source: derived.

    >>> LearntFriction(least=0.08, most=None).stricter(mu_of_code=0.1)
    0.1
    """

    least: float | None
    most: float | None

    def stricter(self, *, mu_of_code: float) -> float:
        """Return the smaller of the code's μ and what a slip leaves [-]."""
        return mu_of_code if self.most is None else min(mu_of_code, self.most)


def learnt_friction(
    *, tests: tuple[FrictionTest, ...], today: date
) -> LearntFriction | None:
    """Return what tests of the last twelve months say of friction.

    Parameters
    ----------
    tests : tests on the machine, each with its friction as a number [-]
    today : the day asked for

    It makes a verdict stricter and never looser: a hold loosens nothing. Creep bounds
    nothing, since friction from .10 to .25 moves it by a part of a hundredth.

    Raises nothing; None where no test is young enough.

    Source: Euler-Eytelwein, T1/T2 <= exp(f·α) while the rope holds; the age is a rule
    of this program.

    >>> slipped = FrictionTest(tested_on=date(2026, 5, 1), held=False,
    ...     tension_ratio=1.5, factor_ratio=2.0, wrap_rad=2.88)
    >>> learnt_friction(tests=(slipped,), today=date(2026, 6, 1)).most
    0.0704
    """
    young = [
        test
        for test in tests
        if 0 <= (today - test.tested_on).days <= GREATEST_AGE_DAYS
    ]
    if not young:
        return None
    return LearntFriction(
        least=max((test.mu for test in young if test.held), default=None),
        most=min((test.mu for test in young if not test.held), default=None),
    )
