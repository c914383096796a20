"""Work and cost of a portfolio by quarter, from the joint distribution."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import islice

import numpy as np

from inspections.decisions.comparison import lead_years
from inspections.decisions.dates import years_between
from inspections.decisions.future import lives
from inspections.decisions.future.answers import (
    KINDS,
    NUMBER,
    answers_of,
    bands,
    priced,
)
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.following import Following, Works
from inspections.decisions.future.groups import Followed, Future
from inspections.decisions.future.knowing import Floats
from inspections.decisions.future.standing import Stood
from inspections.decisions.movers import Movers, expected
from inspections.decisions.records import (
    Budget,
    Estimate,
    Learnt,
    OptionKind,
    PlannedMachine,
    Quarter,
    Standing,
    Thresholds,
)
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Reason, Term, because

CHUNK = 64
"""Machines followed at once; bounds the memory, not the result."""
_MOST_QUARTERS = 80
_HARDLY_A_DAY = 0.05
CAUTIONS = (
    because(Code.BUDGET_EXPECTED),
    because(Code.BUDGET_AS_TOLD),
    because(Code.BUDGET_QUANTILES),
)


class CurrenciesDiffer(ValueError):
    """Amounts of one budget are in more than one currency."""

    def __init__(self, *currencies: str) -> None:
        self.reason = because(Code.BUDGET_CURRENCIES, currencies=currencies)
        super().__init__(str(self.reason))


def by_quarter(
    *,
    machines: Iterable[PlannedMachine],
    thresholds: Thresholds,
    as_of: date,
    seed: int,
    quarters: int = 12,
    draws: int = 1000,
    day_out: Estimate | None = None,
    learnt: Learnt | None = None,
) -> Budget:
    """Return counts and cost of the coming quarters with P10 and P90.

    Each draw is one possible future of the whole portfolio: works of all machines are
    summed in it, and quantiles are taken of the sums. Machines of one class share what
    is not known of their rate, all share what is not known of a price. The order of
    the machines does not matter. The first quarter is the one `as_of` lies in.
    `day_out` is what a day costs on which a machine stands, `learnt` what the fleet
    has taught of parts yet to come.

    Raises ValueError for a number of quarters that is not from 1 to 80, fewer than 100
    draws, or CurrenciesDiffer for amounts in more than one currency.
    """
    _check(quarters, draws)
    begins = tuple(_quarter_starts(as_of, quarters + 1))
    edges = np.array([years_between(as_of, day) for day in begins])
    edges[0] = 0.0
    deviates = Deviates(seed=seed, draws=draws, thresholds=thresholds, learnt=learnt)
    sums = _Sums(edges=edges, deviates=deviates, day_out=day_out)
    undated: list[int] = []
    left = iter(sorted(machines, key=lambda machine: machine.machine_key))
    while chunk := list(islice(left, CHUNK)):
        undated += [each.machine_key for each in chunk if _is_undated(each)]
        sums.begin(chunk)
        followed = Followed(
            futures=[_future(machine, as_of) for machine in chunk],
            deviates=deviates,
            thresholds=thresholds,
            as_of=as_of,
        )
        future = Following(followed)
        for works in future.works(float(edges[-1])):
            sums.add(works)
        sums.stood.add_all(0, future.standing(float(edges[-1])).sum(axis=0))
    return Budget(
        currency=sums.currency,
        draws=draws,
        quarters=tuple(sums.quarter(n, day) for n, day in enumerate(begins[:-1])),
        whole=sums.whole(begins[0]),
        standing=sums.stood.said(0),
        by_kind=sums.movers.by_kind(),
        dearest=sums.movers.dearest(),
        machines=sums.machines,
        without_dates=tuple(undated),
        without_cost=sums.without_cost,
        classes=deviates.used(),
        cautions=(*CAUTIONS, *_said(sums.stood.said(0), sums.currency)),
    )


def _said(standing: Standing, currency: str) -> tuple[Reason, ...]:
    days, cost = standing.days.mean, standing.cost
    if cost is None:
        items = standing.missing
        return (because(Code.BUDGET_STOOD_UNPRICED, days=days, items=items),)
    if days < _HARDLY_A_DAY:
        return ()
    code = Code.BUDGET_STOOD
    return (because(code, days=days, cost=cost.mean, currency=currency),)


def _check(quarters: int, draws: int) -> None:
    if not 1 <= quarters <= _MOST_QUARTERS:
        raise ValueError(
            f"quarters is {quarters}; it must be from 1 to {_MOST_QUARTERS}"
        )
    if draws < 100:
        raise ValueError(f"draws is {draws}; it must be 100 or more")


def _quarter_starts(as_of: date, count: int) -> Iterator[date]:
    first = as_of.year * 4 + (as_of.month - 1) // 3
    for number in range(first, first + count):
        yield date(number // 4, 3 * (number % 4) + 1, 1)


def _future(machine: PlannedMachine, as_of: date) -> Future:
    day = machine.planned_on or as_of
    return Future(
        machine_key=machine.machine_key,
        limits=lives.grouped(machine.ahead),
        answers=answers_of(offers=machine.offers),
        chosen=machine.chosen,
        chosen_years=max(years_between(as_of, day), 0.0),
        lead_years=lead_years(offers=machine.offers),
        stands=machine.stands,
    )


def _is_undated(machine: PlannedMachine) -> bool:
    return machine.chosen is None and not any(map(lives.has_date, machine.ahead))


class _Sums:
    """Counts (kinds, quarters, draws) and cost (quarters, draws) of the portfolio."""

    def __init__(
        self, *, edges: Floats, deviates: Deviates, day_out: Estimate | None
    ) -> None:
        self._edges, self._draws = edges, deviates.draws
        shape = (len(KINDS), edges.size - 1, deviates.draws)
        self._counts, self._cost = np.zeros(shape), np.zeros(shape[1:])
        self._uniform = np.stack([deviates.uniform(n) for n in range(len(KINDS))])
        self._bands = np.empty((3, 0, len(KINDS)))
        self._missing: dict[tuple[OptionKind, Item], None] = {}
        self._chunk: Sequence[PlannedMachine] = ()
        self.currency = ""
        self.machines = 0
        self.movers = Movers(draws=deviates.draws)
        self.stood = Stood(rows=1, deviates=deviates, per_day=day_out)

    def begin(self, chunk: Sequence[PlannedMachine]) -> None:
        """Take the rates of the next machines."""
        self._chunk = chunk
        self.machines += len(chunk)
        self.movers.begin([machine.machine_key for machine in chunk])
        self._bands = bands(offers=[machine.offers for machine in chunk])
        for machine in chunk:
            for offer in machine.offers:
                if offer.cost.is_estimated:
                    self._take_currency(offer.cost.currency)

    def add(self, works: Works) -> None:
        """Add a batch of works of these machines."""
        quarter = np.searchsorted(self._edges, works.years, side="right") - 1
        size, draws = self._edges.size - 1, self._draws
        index = (works.kind * size + quarter) * draws + works.draw
        counts = np.bincount(index, minlength=self._counts.size)
        self._counts += counts.reshape(self._counts.shape)
        low, mid, high = self._bands[:, works.row, works.kind]
        uniform = self._uniform[works.kind, works.draw]
        prices = priced(low=low, mid=mid, high=high, uniform=uniform)
        self._note_missing(works, np.isnan(prices))
        self.movers.add(works, prices)
        self.stood.add(np.zeros_like(works.row), works.draw, works.stood)
        cost = np.bincount(
            quarter * draws + works.draw,
            weights=np.nan_to_num(prices),
            minlength=self._cost.size,
        )
        self._cost += cost.reshape(self._cost.shape)

    def quarter(self, number: int, begins_on: date) -> Quarter:
        """Return one quarter."""
        return _summed(begins_on, self._counts[:, number], self._cost[number])

    def whole(self, begins_on: date) -> Quarter:
        """Return all quarters together, summed within each draw."""
        return _summed(begins_on, self._counts.sum(axis=1), self._cost.sum(axis=0))

    @property
    def without_cost(self) -> tuple[tuple[OptionKind, Item], ...]:
        """Return work that was counted without a cost, and what is missing for it."""
        return tuple(
            sorted(self._missing, key=lambda pair: (NUMBER[pair[0]], repr(pair[1])))
        )

    def _take_currency(self, currency: str) -> None:
        if self.currency and currency != self.currency:
            raise CurrenciesDiffer(self.currency, currency)
        self.currency = currency

    def _note_missing(self, works: Works, unpriced: np.ndarray) -> None:
        pairs = np.unique(works.row[unpriced] * len(KINDS) + works.kind[unpriced])
        for pair in pairs.tolist():
            row, number = divmod(pair, len(KINDS))
            kind = KINDS[number]
            offers = [o for o in self._chunk[row].offers if o.kind is kind]
            names = offers[0].cost.missing if offers else (Term.AN_OFFER,)
            self._missing.update(dict.fromkeys((kind, name) for name in names))


def _summed(begins_on: date, counts: Floats, cost: Floats) -> Quarter:
    return Quarter(
        begins_on=begins_on,
        counts=tuple(
            (kind, expected(of_kind))
            for kind, of_kind in zip(KINDS, counts, strict=True)
            if of_kind.any()
        ),
        cost=expected(cost),
    )
