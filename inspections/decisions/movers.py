"""What moves the portfolio's cost most: which kind of work, which machines."""

import heapq
from collections.abc import Sequence

import numpy as np

from inspections.decisions.future.answers import KINDS
from inspections.decisions.future.following import Works
from inspections.decisions.future.knowing import Floats
from inspections.decisions.records import CostOfKind, CostOfMachine, Expected

MOST_MACHINES = 10


class Movers:
    """Cost over all quarters by kind (kinds, draws), and the dearest machines."""

    def __init__(self, *, draws: int) -> None:
        self._draws = draws
        self._kinds = np.zeros((len(KINDS), draws))
        self._keys: Sequence[int] = ()
        self._machines = np.zeros((0, draws))
        self._dearest: list[tuple[float, int, Expected]] = []

    def begin(self, keys: Sequence[int]) -> None:
        """Take the next machines, once all works of those before were added."""
        means = self._machines.mean(axis=1)
        self._dearest = heapq.nlargest(
            MOST_MACHINES,
            [
                *self._dearest,
                *(
                    (float(means[row]), -key, expected(self._machines[row]))
                    for row, key in enumerate(self._keys)
                    if means[row] > 0.0
                ),
            ],
            key=_order,
        )
        self._keys = keys
        self._machines = np.zeros((len(keys), self._draws))

    def add(self, works: Works, prices: Floats) -> None:
        """Add a batch of works of these machines; a price of NaN counts nothing."""
        costs = np.nan_to_num(prices)
        for sums, row in ((self._kinds, works.kind), (self._machines, works.row)):
            index = row * self._draws + works.draw
            added = np.bincount(index, weights=costs, minlength=sums.size)
            sums += added.reshape(sums.shape)

    def by_kind(self) -> tuple[CostOfKind, ...]:
        """Return the kinds that cost anything, the one first that moves the sum most.

        A kind's share of the spread is its covariance with the sum over the sum's
        variance, so that the shares add up to one.
        """
        whole = self._kinds.sum(axis=0)
        variance = float(whole.var())
        found = [
            CostOfKind(
                kind=kind,
                cost=expected(costs),
                spread_share=_covariance(costs, whole) / variance if variance else None,
            )
            for kind, costs in zip(KINDS, self._kinds, strict=True)
            if costs.any()
        ]
        return tuple(
            sorted(found, key=lambda each: (-(each.spread_share or 0), -each.cost.mean))
        )

    def dearest(self) -> tuple[CostOfMachine, ...]:
        """Return at most ten machines with the greatest expected cost."""
        self.begin(())
        return tuple(
            CostOfMachine(machine_key=-key, cost=cost) for _, key, cost in self._dearest
        )


def expected(values: Floats) -> Expected:
    """Return the mean of draws, and P10 to P90."""
    low, high = np.quantile(values, (0.1, 0.9), method="inverted_cdf")
    return Expected(mean=float(values.mean()), p10=float(low), p90=float(high))


def _order(entry: tuple[float, int, Expected]) -> tuple[float, int]:
    return entry[:2]


def _covariance(one: Floats, other: Floats) -> float:
    return float(np.mean((one - one.mean()) * (other - other.mean())))
