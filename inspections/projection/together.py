"""How far what forecasts missed hangs together: on a machine, and in a class.

Each reading's chance, as it was foretold, becomes a normal score by its rank in its
class, so that a class whose forecasts all lean one way does not pass for one that hangs
together. Correlations are means of products of pairs of scores.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import normal
from inspections.projection.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Correlations of what one class's forecasts missed, as they were found.

    within, pairs : of two places of one machine read on one day, and how many pairs
    between, periods : of two machines read in one half-year, and how many half-years
        had two machines or more; NaN where there is nothing to tell it by
    """

    within: float
    pairs: int
    between: float
    periods: int


def of_class(
    *, chance: Floats, machine: np.ndarray, read_years: Floats, day: np.ndarray
) -> Together:
    """Return how the scores of one class's readings (n,) hang together.

    chance : probability integral transforms, 0 to 1
    machine, day : whose reading, and of which day; whole numbers
    read_years : when, in years; halves of a year are periods

    Example
    -------
    >>> found = of_class(
    ...     chance=np.array([0.1, 0.1, 0.9, 0.9]),
    ...     machine=np.array([1, 1, 2, 2]),
    ...     read_years=np.zeros(4),
    ...     day=np.zeros(4, dtype=int),
    ... )
    >>> found.pairs, found.periods, found.within > 0.0
    (2, 1, True)
    """
    z = _scores(chance)
    within, pairs = _pairs(z, _numbered(machine, day))
    period = np.floor(2.0 * read_years).astype(np.int64)
    whole, of_all = _pairs(z, _numbered(period))
    own, of_own = _pairs(z, _numbered(machine, period))
    between = whole.sum() - own.sum()
    count = int(of_all.sum() - of_own.sum())
    variance = float(np.mean(z * z)) if z.size else 0.0
    return Together(
        within=_share(float(within.sum()), int(pairs.sum()), variance),
        pairs=int(pairs.sum()),
        between=_share(float(between), count, variance),
        periods=_with_two_machines(period, machine),
    )


def _scores(chance: Floats) -> Floats:
    """Return normal scores by rank; equal chances share the mean of their ranks."""
    if not chance.size:
        return chance
    _, place, count = np.unique(chance, return_inverse=True, return_counts=True)
    below = (np.cumsum(count) - 0.5 * count) / chance.size
    scores: Floats = np.array([normal.deviate(float(each)) for each in below])[place]
    return scores


def _numbered(*columns: np.ndarray) -> np.ndarray:
    rows = np.stack(columns, axis=1)
    _, numbers = np.unique(rows, axis=0, return_inverse=True)
    return np.asarray(numbers).reshape(-1)


def _pairs(z: Floats, of: np.ndarray) -> tuple[Floats, np.ndarray]:
    """Return the sum of products over pairs of each group, and the number of pairs."""
    if not z.size:
        return np.zeros(0), np.zeros(0, dtype=np.int64)
    first, second = np.bincount(of, weights=z), np.bincount(of, weights=z * z)
    count = np.bincount(of)
    return (first * first - second) / 2.0, count * (count - 1) // 2


def _share(products: float, pairs: int, variance: float) -> float:
    return products / pairs / variance if pairs and variance > 0.0 else float("nan")


def _with_two_machines(period: np.ndarray, machine: np.ndarray) -> int:
    rows = np.unique(np.stack([period, machine], axis=1), axis=0)
    _, machines = np.unique(rows[:, 0], return_counts=True)
    return int((machines > 1).sum())
