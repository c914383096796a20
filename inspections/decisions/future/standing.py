"""What it costs that a machine stands, or what is missing to say it."""

import numpy as np

from inspections.decisions.dates import DAYS_PER_YEAR
from inspections.decisions.future.answers import KINDS, priced
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.knowing import Floats
from inspections.decisions.movers import expected
from inspections.decisions.records import Estimate, Standing
from inspections.engineering.verdict import Item
from inspections.reasons import Term


class Stood:
    """Years out of service of some rows (R) in each draw (N), and their price."""

    def __init__(
        self, *, rows: int, deviates: Deviates, per_day: Estimate | None
    ) -> None:
        self._years = np.zeros((rows, deviates.draws))
        self._no_lead = np.zeros(rows, dtype=np.bool_)
        self._per_day = per_day
        self._uniform = deviates.uniform(len(KINDS))

    def add(self, row: np.ndarray, draw: np.ndarray, years: Floats) -> None:
        """Add years (W,); NaN is a time that no lead time tells."""
        self._no_lead[row[np.isnan(years)]] = True
        index = row * self._years.shape[1] + draw
        added = np.bincount(
            index, weights=np.nan_to_num(years), minlength=self._years.size
        )
        self._years += added.reshape(self._years.shape)

    def add_all(self, row: int, years: Floats) -> None:
        """Add years in every draw (N,) of a row."""
        self._years[row] += years

    def missing(self, row: int) -> tuple[Item, ...]:
        """Return what is missing to say what standing costs; nothing at no price."""
        stands = bool(self._years[row].any()) or bool(self._no_lead[row])
        if not stands or (self._per_day is not None and self._per_day.high == 0.0):
            return ()
        found: list[Item] = [Term.PRICE_OF_DAY_OUT] if self._per_day is None else []
        return (*found, Term.LEAD_TIMES) if self._no_lead[row] else tuple(found)

    def cost(self, row: int) -> Floats:
        """Return the cost (N,); nothing where it is missing, which `missing` names."""
        if self._per_day is None or self.missing(row):
            return np.zeros(self._uniform.shape)
        low, mid, high = (
            np.full(self._uniform.shape, end)
            for end in (self._per_day.low, self._per_day.mid, self._per_day.high)
        )
        price = priced(low=low, mid=mid, high=high, uniform=self._uniform)
        found: Floats = self._years[row] * DAYS_PER_YEAR * price
        return found

    def said(self, row: int) -> Standing:
        """Return days and cost of a row."""
        missing = self.missing(row)
        return Standing(
            days=expected(self._years[row] * DAYS_PER_YEAR),
            cost=None if missing else expected(self.cost(row)),
            missing=missing,
        )
