"""What each option of a machine costs in each draw, added up as it is followed."""

import numpy as np

from inspections.decisions.future import worth
from inspections.decisions.future.answers import KINDS, bands, priced
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.following import Following, Works
from inspections.decisions.future.knowing import Floats
from inspections.decisions.future.standing import Stood
from inspections.decisions.future.wearing import visits_of
from inspections.decisions.records import (
    Estimate,
    FollowedOption,
    Offer,
    Option,
    OptionKind,
)
from inspections.decisions.records.kind import work_of
from inspections.engineering.verdict import Item
from inspections.reasons import Code, because

_VISITS = np.array([visits_of(kind) for kind in KINDS])


class OptionSums:
    """Cost, visits and works of each option in each draw."""

    def __init__(
        self,
        *,
        offers: tuple[Offer, ...],
        futures: int,
        deviates: Deviates,
        day_out: Estimate | None,
    ) -> None:
        shape = (futures, deviates.draws)
        self.cost, self._visits = np.zeros(shape), np.zeros(shape)
        self._works = np.zeros((futures, len(KINDS)))
        self._missing = {offer.kind: offer.cost.missing for offer in offers}
        low, mid, high = bands(offers=[offers])[:, 0, :, None]
        uniform = np.stack([deviates.uniform(n) for n in range(len(KINDS))])
        self._prices = priced(low=low, mid=mid, high=high, uniform=uniform)
        self._stood = Stood(rows=futures, deviates=deviates, per_day=day_out)
        self._left = np.zeros(shape)

    def add(self, works: Works) -> None:
        """Add a batch; a draw has at most one work of an option in it."""
        prices = self._prices[works.kind, works.draw]
        self.cost[works.row, works.draw] += np.nan_to_num(prices)
        self._visits[works.row, works.draw] += _VISITS[works.kind]
        index = works.row * len(KINDS) + works.kind
        found = np.bincount(index, minlength=self._works.size)
        self._works += found.reshape(self._works.shape)
        self._stood.add(works.row, works.draw, works.stood)

    def end(self, future: Following, horizon_years: float) -> None:
        """Take what stands at the horizon, and what is left there of works."""
        by, shares = future.left(horizon_years)
        self._left = worth.left(by=by, shares=shares, prices=self._prices)
        for row, years in enumerate(future.standing(horizon_years)):
            self._stood.add_all(row, years)
            self.cost[row] += self._stood.cost(row) - self._left[row]

    def course(self, row: int, option: Option) -> FollowedOption:
        """Return what became of one option."""
        missing = self._lacking(row)
        cost, visits = self.cost[row], self._visits[row]
        low, high = np.quantile(cost, (0.1, 0.9))
        works = self._works[row] / cost.size
        return FollowedOption(
            kind=option.kind,
            cost_mean=None if missing else float(cost.mean()),
            cost_p10=None if missing else float(low),
            cost_p90=None if missing else float(high),
            left_mean=None if missing else float(self._left[row].mean()),
            standing=self._stood.said(row),
            visits_mean=float(visits.mean()),
            visits_p10=float(np.quantile(visits, 0.1)),
            visits_p90=float(np.quantile(visits, 0.9)),
            works=tuple((k, float(n)) for k, n in zip(KINDS, works, strict=True) if n),
            missing=missing,
        )

    def priced_rows(self) -> list[int]:
        """Return the rows of options of which nothing is missing for a cost."""
        return [row for row in range(len(self.cost)) if not self._lacking(row)]

    def cheapest(
        self, followed: list[Option], tie_chance: float
    ) -> tuple[OptionKind | None, tuple[OptionKind, ...], float | None]:
        """Return the cheapest option, those that may be as cheap, and how sure."""
        known = self.priced_rows()
        if len(known) < 2:
            return None, (), None
        cost: Floats = self.cost[known]
        best = int(np.argmin(cost.mean(axis=1)))
        ties = tuple(
            followed[known[row]].kind
            for row in range(len(known))
            if row != best and _is_tied(cost[row] - cost[best], tie_chance)
        )
        sure = float((cost[best] <= cost.min(axis=0)).mean())
        return followed[known[best]].kind, ties, sure

    def _lacking(self, row: int) -> tuple[Item, ...]:
        lacking: dict[Item, None] = {}
        for number, kind in enumerate(KINDS):
            if self._works[row, number] and np.isnan(self._prices[number, 0]):
                asked = because(Code.OFFER_FOR, work=work_of(kind))
                lacking.update(dict.fromkeys(self._missing.get(kind) or (asked,)))
        return (*lacking, *self._stood.missing(row))


def _is_tied(dearer_by: Floats, tie_chance: float) -> bool:
    """Return whether one option's cost cannot be told from the cheapest one's.

    It is cheaper in enough of the draws, or the mean difference is within two standard
    errors of the drawing.
    """
    error = float(dearer_by.std()) / dearer_by.size**0.5
    return bool(
        (dearer_by < 0.0).mean() >= tie_chance or dearer_by.mean() <= 2.0 * error
    )
