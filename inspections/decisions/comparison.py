"""The options of one machine followed over a horizon, by drawing."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from inspections.decisions import measuring
from inspections.decisions.dates import DAYS_PER_YEAR
from inspections.decisions.future import doubts, lives
from inspections.decisions.future.answers import KINDS, answers_of
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.following import Following
from inspections.decisions.future.groups import Followed, Future
from inspections.decisions.future.knowing import Floats, Measurable
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.option_sums import OptionSums
from inspections.decisions.records import (
    AheadLimit,
    Comparison,
    Estimate,
    Learnt,
    MachineFacts,
    Offer,
    Option,
    OptionKind,
    Possible,
    Thresholds,
    WorthMeasuring,
)
from inspections.reasons import Code, Reason, because

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

    def follow(asked: Measurable | None) -> OptionSums:
        sums = OptionSums(
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
    follow: "Callable[[Measurable | None], OptionSums]",
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
