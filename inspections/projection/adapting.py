"""How much wider the early side of a class's forecasts has to be, by its own misses.

Each score asks whether a reading lay beyond what one in ten would. The factor on the
deviates of planning quantiles goes up by a miss and down by a hit, so that in the long
run one in ten is missed whatever the model gets wrong (adaptive conformal inference:
Gibbs & Candès, NeurIPS 2021), with longer steps at first (decaying ones: Angelopoulos,
Barber & Bates, ICML 2024). One in ten, since a dozen machines can test nothing finer.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import normal
from inspections.projection.arrays import Floats, Integers

AT = 0.10
"""The chance that is tested: of a reading deeper than nine in ten forecasts had it."""
ENOUGH_MACHINES = 50
"""Only with so many machines scored may forecasts be called too careful."""
LEAST, MOST = 0.8, 3.0
_FIRST_STEP, _STEP, _UNTIL = 0.15, 0.05, 10.0
ENOUGH_WEAR = 5.0
"""A reading tests a forecast of wear once so many gauge deviations were expected."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Adapted:
    """factor : on the deviates of a class's planning quantiles, 1 for "as forecast"
    machines, scores : how many it rests on; missed : of the scores"""

    factor: float
    machines: int
    scores: int
    missed: int


def adapt(*, pit: Floats, machine: Integers) -> Adapted:
    """Return the factor after the scores of one class, in order of time.

    pit : (n,) probability integral transforms; machine : (n,) whose each is

    >>> adapt(pit=np.full(4, 0.999), machine=np.arange(4)).factor
    1.51
    """
    factor, seen, missed = 1.0, set(), 0
    edge = -normal.deviate(AT)
    # a transform of exactly 1 is farther off than any deviate
    beyond = np.clip(pit, 1e-12, 1.0 - 1e-12)
    for number, (chance, whose) in enumerate(
        zip(beyond.tolist(), machine.tolist(), strict=True)
    ):
        seen.add(whose)
        is_missed = normal.deviate(chance) > edge * factor
        missed += is_missed
        step = max(_STEP, _FIRST_STEP / np.sqrt(1.0 + number / _UNTIL))
        least = LEAST if len(seen) >= ENOUGH_MACHINES else 1.0
        factor = min(max(factor + step * (is_missed - AT), least), MOST)
    return Adapted(
        factor=float(factor), machines=len(seen), scores=int(pit.size), missed=missed
    )


def once_a_machine_and_year(*, machine: Integers, year: Integers) -> Integers:
    """Return the positions of the first score of each machine and year, in order.

    >>> once_a_machine_and_year(machine=np.array([7, 7, 7]), year=np.array([1, 1, 2]))
    array([0, 2])
    """
    _, first = np.unique(np.stack([machine, year]), axis=1, return_index=True)
    return np.sort(first)


def stricter(probability: float, factor: float) -> float:
    """Return the chance whose deviate is ``factor`` times as far out.

    Asked for at this chance, a quantile of the model holds with ``probability``.

    >>> stricter(0.02, 1.3)
    0.0038
    """
    if probability >= 0.5:
        return probability
    return float(normal.cumulative(np.array([factor * normal.deviate(probability)]))[0])
