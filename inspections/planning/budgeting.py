"""The budget of a portfolio: expected work and cost by quarter, from stored options."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db.models import Q, QuerySet

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, Unprocessable
from inspections import inputs, queries
from inspections.decisions import budget
from inspections.decisions.records import (
    AheadLimit,
    Budget,
    Cost,
    Offer,
    OptionKind,
    PlannedMachine,
    Possible,
)
from inspections.models import (
    OPEN_STATES,
    Forecast,
    ForecastState,
    OptionSet,
    PlannedWork,
)
from inspections.options import facts, saying
from inspections.planning import learnt

# Machines read at a time; bounds the memory, not the result.
TOGETHER = 500
MOST_FUTURES = 1_000_000
"""Machines times draws, as long as somebody waits for the answer; some ms a machine at
500 draws. A portfolio review is made by a worker and has no such end."""
# Only what a limit ahead is made of: a portfolio has many forecasts.
_NEEDED = (
    "machine_id",
    "quantity",
    "place",
    "safety",
    "limit_reason",
    "class_name",
    "level",
    "limit",
    "limit_sd",
    "rate_per_year",
    "last_on",
    "p02_on",
    "p10_on",
    "p50_on",
    "p90_on",
    "plan_before_on",
    "chance_already",
    "measure_first",
    "limit_share",
    "state",
)
_DATED = (
    Q(p02_on__isnull=False)
    | Q(p10_on__isnull=False)
    | Q(p50_on__isnull=False)
    | Q(plan_before_on__isnull=False)
    | Q(state=ForecastState.BEYOND)
)


Work = tuple[OptionKind | None, date | None]
_NOTHING: Work = (None, None)


class BudgetTooLarge(Unprocessable):
    """The budget of so many machines takes longer than somebody waits for an answer."""

    code = "budget-too-large"


class CurrenciesMixed(Conflict):
    """Amounts are in more than one currency until the options are worked out anew."""

    code = "currencies-differ"


def while_waiting(*, draws: int, **asked: Any) -> Budget:
    """Return ``by_quarter`` where it is soon enough for somebody who waits for it.

    Raises BudgetTooLarge, CurrenciesMixed.
    """
    chosen = {name: asked[name] for name in ("scope", "building_id", "owner_id")}
    count, most = of(**chosen).count(), MOST_FUTURES // draws
    if count > most:
        raise BudgetTooLarge(
            f"{count:,} machines at {draws:,} draws; {most:,} are drawn while you "
            "wait: ask for those of a building or an owner, for fewer draws, or order "
            "a portfolio review, which has the budget of them all"
        )
    try:
        return by_quarter(draws=draws, **asked)
    except budget.CurrenciesDiffer as error:
        raise CurrenciesMixed(f"There is no budget: {error.reason}.") from None


def by_quarter(
    *,
    scope: Scope,
    quarters: int,
    seed: int,
    draws: int,
    building_id: int | None,
    owner_id: int | None,
    now: datetime,
) -> Budget:
    """Return the coming quarters of the machines in service, with P10 and P90.

    Work that somebody has chosen, or else that an open finding asks for, comes on its
    day instead of when a limit is reached.
    """
    machines = of(scope=scope, building_id=building_id, owner_id=owner_id)
    terms = inputs.standing_terms(scope=scope)
    return budget.by_quarter(
        machines=_machines(scope, list(machines.values_list("pk", flat=True))),
        thresholds=terms.thresholds,
        as_of=now.date(),
        seed=seed,
        quarters=quarters,
        draws=draws,
        day_out=terms.rates.day_out,
        learnt=learnt.of_fleet(scope=scope),
    )


def of(
    *, scope: Scope, building_id: int | None, owner_id: int | None
) -> QuerySet[Machine]:
    """Return the machines in service, of a building or an owner where one is given."""
    machines = queries.active_machines(scope=scope)
    if building_id is not None:
        machines = machines.filter(building=building_id)
    if owner_id is not None:
        machines = machines.filter(building__owner=owner_id)
    return machines


def _machines(scope: Scope, ids: Sequence[int]) -> Iterator[PlannedMachine]:
    """Yield the machines as the budget follows them, some read at a time."""
    chosen = _chosen(scope)
    for start in range(0, len(ids), TOGETHER):
        some = ids[start : start + TOGETHER]
        ahead = _ahead(scope, some)
        rows = OptionSet.objects.within(scope).filter(machine__in=some)
        stored = {
            pk: (offers or (), _asked(kind, day), stands)
            for pk, offers, kind, day, stands in rows.values_list(
                "machine_id",
                "facts__offers",
                "facts__asked",
                "facts__asked_on",
                "out_of_service",
            )
        }
        for pk in some:
            offers, asked, stands = stored.get(pk, ((), _NOTHING, False))
            kind, day = chosen.get(pk, asked)
            yield PlannedMachine(
                machine_key=pk,
                ahead=tuple(ahead.get(pk, ())),
                offers=tuple(_offer(said) for said in offers),
                chosen=kind,
                planned_on=day,
                stands=stands,
            )


def _ahead(scope: Scope, ids: Sequence[int]) -> dict[int, list[AheadLimit]]:
    found: dict[int, list[AheadLimit]] = defaultdict(list)
    rows = Forecast.objects.within(scope).filter(_DATED, machine__in=ids, current=True)
    for row in rows.order_by("pk").only(*_NEEDED):
        found[row.machine_id].append(facts.ahead_of(row))
    return found


def _asked(kind: str | None, day: str | None) -> Work:
    """Return the work that an open finding asks for, as it was stored."""
    if kind is None:
        return _NOTHING
    return OptionKind(kind), date.fromisoformat(day) if day else None


def _chosen(scope: Scope) -> dict[int, Work]:
    """Return the greatest work that is planned for each machine, and its day."""
    found: dict[int, Work] = {}
    order = list(OptionKind)
    rows = PlannedWork.objects.within(scope).filter(state__in=OPEN_STATES)
    for machine_id, name, due in rows.values_list(
        "machine_id", "kind", "due_before_on"
    ):
        kind = OptionKind.__members__.get(name)
        if kind is None or not kind.is_work:
            continue
        before = found.get(machine_id)
        if before is None or order.index(kind) > order.index(before[0] or kind):
            found[machine_id] = (kind, due)
    return found


def _offer(said: Mapping[str, Any]) -> Offer:
    cost = said["cost"]
    return Offer(
        kind=OptionKind(said["kind"]),
        possible=Possible(said["possible"]),
        cost=Cost(
            currency=cost["currency"],
            low=cost["low"],
            mid=cost["mid"],
            high=cost["high"],
            missing=saying.items_of(cost, "missing"),
        ),
        further_cuts=said["further_cuts"],
        # Options stored by an earlier version do not say it.
        lead_days=said.get("lead_days"),
    )
