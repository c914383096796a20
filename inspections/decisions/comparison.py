"""The options of one machine followed over a horizon, by drawing."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from inspections.decisions import measuring
from inspections.decisions.dates import DAYS_PER_YEAR
from inspections.decisions.future import doubts, lives, worth
from inspections.decisions.future.answers import KINDS, answers_of, bands, priced
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.following import Following, Works
from inspections.decisions.future.groups import Followed, Future
from inspections.decisions.future.knowing import Floats, Measurable
from inspections.decisions.future.standing import Stood
from inspections.decisions.future.wearing import EndsTogether, visits_of
from inspections.decisions.records import (
    AheadLimit,
    Comparison,
    Estimate,
    FollowedOption,
    Learnt,
    MachineFacts,
    Offer,
    Option,
    OptionKind,
    Possible,
    Thresholds,
    WorthMeasuring,
)
from inspections.decisions.records.kind import work_of
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Reason, because

_VISITS = np.array([visits_of(kind) for kind in KINDS])
_MOST_YEARS = 40.0


def compare(
    *,
    options: Sequence[Option],
    facts: MachineFacts,
    thresholds: Thresholds,
    as_of: date,
    seed: int,
    horizon_years: float = 15.0,
    draws: int = 2000,
    day_out: Estimate | None = None,
    learnt: Learnt | None = None,
) -> Comparison:
    """Return expected cost and visits out of service of each option.

    Each option is ordered on the first day; what follows is renewed when people are
    told to plan it. All options meet the same draws, whatever their order. Costs are
    today's, without interest. `day_out` is what a day costs on which a machine stands,
    `learnt` what the fleet has taught of parts yet to come.

    Raises ValueError for a horizon that is not positive or above 40 years, or fewer
    than 100 draws.
    """
    _check(horizon_years, draws)
    ordered = sorted(options, key=lambda option: KINDS.index(option.kind))
    left_out = tuple((o.kind, why) for o in ordered if (why := _left_out(o)))
    followed = [option for option in ordered if not _left_out(option)]
    offers = offers_of(options=ordered)
    limits = lives.grouped(facts.ahead)
    futures = _futures(facts=facts, offers=offers, limits=limits, options=followed)
    deviates = Deviates(seed=seed, draws=draws, thresholds=thresholds, learnt=learnt)

    def follow(asked: Measurable | None) -> _OptionSums:
        sums = _OptionSums(
            offers=offers, futures=len(futures), deviates=deviates, day_out=day_out
        )
        if futures:
            future = Following(
                Followed(
                    futures=[replace(each, unknown=asked) for each in futures],
                    deviates=deviates,
                    thresholds=thresholds,
                    as_of=as_of,
                )
            )
            for works in future.works(horizon_years):
                sums.add(works)
            sums.end(future, horizon_years)
        return sums

    sums = follow(None)
    courses = tuple(sums.course(row, o) for row, o in enumerate(followed))
    cheapest, ties, chance = sums.cheapest(followed, thresholds.value("tie_chance"))
    return Comparison(
        horizon_years=horizon_years,
        draws=draws,
        currency=next((o.cost.currency for o in ordered), ""),
        courses=courses,
        cheapest=cheapest,
        ties=ties,
        chance_cheapest=chance,
        doubts=doubts.of_machine(limits=limits, options=ordered, ties=ties),
        left_out=left_out,
        classes=deviates.used(),
        measuring=_measuring(
            facts=facts,
            options=ordered,
            followed=followed,
            follow=follow,
            blur=deviates.of_unknown(machine_key=facts.machine_key),
        ),
    )


def _futures(
    *,
    facts: MachineFacts,
    offers: Sequence[Offer],
    limits: Mapping[EndsTogether, tuple[AheadLimit, ...]],
    options: Sequence[Option],
) -> list[Future]:
    """Return a future for each option, ordered on the first day."""
    return [
        Future(
            machine_key=facts.machine_key,
            limits=limits,
            answers=answers_of(offers=offers),
            chosen=option.kind if option.kind.is_work else None,
            chosen_years=(option.lead_days or 0) / DAYS_PER_YEAR,
            lead_years=lead_years(offers=offers),
            stands=option.out_of_service,
        )
        for option in options
    ]


def _measuring(
    *,
    facts: MachineFacts,
    options: Sequence[Option],
    followed: Sequence[Option],
    follow: "Callable[[Measurable | None], _OptionSums]",
    blur: Floats,
) -> WorthMeasuring | None:
    """Return what it is worth to measure first what blurs this machine's dates."""
    field, shares = measuring.of_limits(facts.ahead)
    if not shares:
        return None
    before = follow(Measurable(shares=shares, is_known=False))
    after = follow(Measurable(shares=shares, is_known=True))
    rows = [row for row in before.priced_rows() if row in after.priced_rows()]
    if len(rows) < 2:
        return None
    saves, choice, knowing = measuring.saving(
        unmeasured=before.cost[rows], measured=after.cost[rows], blur=blur
    )
    first = OptionKind.MEASURE_FIRST
    return WorthMeasuring(
        field=field,
        dates=len(shares),
        expected=float(before.cost[rows[choice]].mean()),
        saves=saves,
        costs=next((o.cost.mid for o in options if o.kind is first), None),
        choice=followed[rows[choice]].kind,
        choice_knowing=followed[rows[knowing]].kind,
    )


def offers_of(*, options: Sequence[Option]) -> tuple[Offer, ...]:
    """Return what the future of a machine is followed with."""
    return tuple(
        Offer(
            kind=option.kind,
            possible=option.possible,
            cost=option.cost,
            further_cuts=option.cut.further_cuts if option.cut else None,
            lead_days=option.lead_days,
        )
        for option in options
    )


def lead_years(*, offers: Sequence[Offer]) -> Mapping[OptionKind, float]:
    """Return the years from order to work of the kinds of which they are known."""
    return {
        offer.kind: offer.lead_days / DAYS_PER_YEAR
        for offer in offers
        if offer.lead_days is not None
    }


def _check(horizon_years: float, draws: int) -> None:
    if not 0.0 < horizon_years <= _MOST_YEARS:
        raise ValueError(
            f"horizon_years is {horizon_years:g}; it must be above 0 and at most "
            f"{_MOST_YEARS:g}"
        )
    if draws < 100:
        raise ValueError(f"draws is {draws}; it must be 100 or more")


def _left_out(option: Option) -> Reason | None:
    """Return why an option is not followed, None for one that is."""
    if option.kind is OptionKind.MEASURE_FIRST:
        return because(Code.LEFT_OUT_MEASURING)
    if option.possible is Possible.NO:
        return because(Code.LEFT_OUT_IMPOSSIBLE)
    if option.leaves_stop_open:
        return because(Code.LEFT_OUT_STOP)
    return None


class _OptionSums:
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
