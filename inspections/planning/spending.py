"""What done work really took, as the office enters it, and the rates that suggests."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F

from fleet.platform.database.tenancy import Scope
from inspections.decisions import suggesting
from inspections.decisions.costing import PARTS
from inspections.decisions.records import OptionKind
from inspections.decisions.suggesting import Spent, SuggestedRate
from inspections.models import PlannedWork, PlanState
from inspections.planning import steps
from inspections.planning.problems import NotOpen, NotThisWay
from inspections.reasons import Code, because

AMOUNTS = ("labour", "rope", "part", "shop", "hoisting", "access", "other")
NUMBERS = ("hours", "rope_m", *AMOUNTS)
# Older prices are no measure of what work costs now; our rule.
_RECENT = timedelta(days=3 * 365)
_MOST_WORKS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggested:
    """Rates as works had them, in the currency of the rates that stand.

    `other_currency` counts works whose money is in another one: their hours count.
    """

    since: date
    rates: tuple[SuggestedRate, ...]
    works: int
    other_currency: int


@transaction.atomic
def spend(*, scope: Scope, row: PlannedWork, said: Mapping[str, Any]) -> PlannedWork:
    """Keep what done work took; what was said before is replaced whole.

    `said` has decimal text by name, a currency where there is money, and a note.
    `row` is locked by the caller. Raises NotOpen, NotThisWay.
    """
    if row.state != PlanState.DONE:
        raise NotOpen("what work took is entered when it is done", pointer="/state")
    kept = {name: value for name, value in said.items() if value not in (None, "")}
    if any(name in kept for name in AMOUNTS) and "currency" not in kept:
        raise NotThisWay("an amount needs its currency", pointer="/currency")
    if not any(name in kept for name in AMOUNTS):
        kept.pop("currency", None)
    if "part" in kept and _part_of(row.kind) is None:
        raise NotThisWay("this kind of work buys no such part", pointer="/part")
    rows = PlannedWork.objects.within(scope).filter(pk=row.pk)
    rows.update(spent=kept or None, version=F("version") + 1)
    row.refresh_from_db()
    # Not everyone who reads the steps may read what it cost.
    what = because(Code.PLAN_SPENT)
    steps.note(row, by=scope.membership_id, what=what)
    return row


def total(said: Mapping[str, Any]) -> float | None:
    """Return the money that is said, None where none is."""
    found = [float(said[name]) for name in AMOUNTS if name in said]
    return sum(found) if found else None


def suggested(*, scope: Scope, currency: str, today: date) -> Suggested:
    """Return the rates that work of the last three years suggests."""
    since = today - _RECENT
    rows = PlannedWork.objects.within(scope).filter(
        state=PlanState.DONE, done_on__gte=since, spent__isnull=False
    )
    kinds = [str(kind) for kind in OptionKind]
    found = list(rows.filter(kind__in=kinds).order_by("-done_on", "-pk")[:_MOST_WORKS])
    return Suggested(
        since=since,
        rates=suggesting.suggest([_spent(row, currency) for row in found]),
        works=len(found),
        other_currency=sum(_is_other(row.spent, currency) for row in found),
    )


def _is_other(said: Mapping[str, Any], currency: str) -> bool:
    return bool(said.get("currency")) and said["currency"] != currency


def _spent(row: PlannedWork, currency: str) -> Spent:
    said: Mapping[str, Any] = row.spent or {}
    left_out: Sequence[str] = AMOUNTS if said.get("currency") != currency else ()

    def number(name: str) -> float | None:
        return None if name in left_out or name not in said else float(said[name])

    return Spent(
        kind=OptionKind(row.kind),
        hours=number("hours"),
        labour=number("labour"),
        rope=number("rope"),
        rope_m=number("rope_m"),
        part=number("part"),
        bought=_part_of(row.kind),
        shop=number("shop"),
        hoisting=number("hoisting"),
        access=number("access"),
    )


def _part_of(kind: str) -> Any:
    return PARTS.get(OptionKind(kind)) if kind in list(OptionKind) else None
