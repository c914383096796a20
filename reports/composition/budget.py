"""The budget of the portfolio: quarter by quarter, expected and from P10 to P90."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.platform.database.tenancy import Scope
from inspections.decisions.budget import CurrenciesDiffer
from inspections.decisions.records import Budget, Expected, OptionKind, Quarter
from inspections.engineering.verdict import Item
from inspections.planning import budgeting
from reports import content
from reports.composition import reasons
from reports.composition.decided import money, spoken
from reports.composition.reader import Reader

QUARTERS = 12
# As the budget's own address has them where nothing else is asked for: same numbers.
SEED, DRAWS = 1, 500
# Fewer expected works than this are printed as a dash, fewer than one as no range.
_HARDLY_ANY, _ONE_AT_LEAST = 0.05, 0.5
_ROPES = (OptionKind.RE_ROPE,)
_CUTS = (OptionKind.REGROOVE_IN_PLACE, OptionKind.REGROOVE_IN_SHOP)
_RENEWALS = (OptionKind.RENEW_RIM, OptionKind.REPLACE_SHEAVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldBudget:
    """The budget's table, None where none could be drawn, and what goes with it."""

    table: content.Table | None
    remarks: tuple[str, ...]


def of_portfolio(*, scope: Scope, reader: Reader, now: datetime) -> ToldBudget:
    """Return the budget of the coming three years, or why there is none."""
    try:
        found = budgeting.by_quarter(
            scope=scope,
            quarters=QUARTERS,
            seed=SEED,
            draws=DRAWS,
            building_id=None,
            owner_id=None,
            now=now,
        )
    except CurrenciesDiffer as error:
        # Amounts in two currencies, until the options are worked out anew.
        reason = reasons.say(error.reason, reader=reader)
        return ToldBudget(
            table=None, remarks=(_("No budget: %(reason)s.") % {"reason": reason},)
        )
    return ToldBudget(
        table=_table(found, reader=reader), remarks=_remarks(found, reader=reader)
    )


def _table(found: Budget, *, reader: Reader) -> content.Table:
    right = content.Align.RIGHT
    rows = [
        (quarter_name(quarter), *_numbers(quarter, found.currency, reader=reader))
        for quarter in found.quarters
    ]
    whole = (
        _("all %(count)s quarters") % {"count": len(found.quarters)},
        *_numbers(found.whole, found.currency, reader=reader),
    )
    return content.Table(
        title=_("Budget"),
        columns=(
            content.Column(heading=_("Quarter"), share=1.0),
            content.Column(heading=_("Re-ropings"), align=right),
            content.Column(heading=_("Regroovings"), align=right),
            content.Column(heading=_("Rims and sheaves"), align=right),
            content.Column(heading=_("Cost, expected"), align=right, share=1.2),
            content.Column(heading=_("Cost, P10 to P90"), align=right, share=1.7),
        ),
        rows=(*rows, whole),
        note=_(
            "Works are expected numbers, with P10 to P90 in brackets where one kind "
            "alone is counted; a dash is fewer than one in twenty. In one of ten "
            "futures the cost lies below P10, in one of ten above P90."
        ),
    )


def quarter_name(quarter: Quarter) -> str:
    """Return a quarter by its year and number."""
    number = (quarter.begins_on.month - 1) // 3 + 1
    return _("%(year)s, quarter %(number)s") % {
        "year": quarter.begins_on.year,
        "number": number,
    }


def _numbers(quarter: Quarter, currency: str, *, reader: Reader) -> tuple[str, ...]:
    cost = quarter.cost
    return (
        *(
            _count(quarter, kinds, reader=reader)
            for kinds in (_ROPES, _CUTS, _RENEWALS)
        ),
        money.amount(_coarse(cost.mean), currency) if currency else "–",
        money.between(_coarse(cost.p10), _coarse(cost.p90), currency)
        if currency
        else "–",
    )


def _coarse(amount: float) -> float:
    """Return an amount in tens, or in hundreds: drawn sums are no finer than that."""
    return round(amount, -2 if amount >= 1000.0 else -1)


def _count(quarter: Quarter, kinds: tuple[OptionKind, ...], *, reader: Reader) -> str:
    """Return how many works are expected; a range only where it is one kind's own."""
    found = [each for kind, each in quarter.counts if kind in kinds]
    if not found:
        return "–"
    expected = sum(each.mean for each in found)
    if expected < _HARDLY_ANY:
        return "–"
    mean = reader.local(f"{expected:.1f}")
    # From none to none says nothing more.
    is_told = len(found) == 1 and found[0].p90 >= _ONE_AT_LEAST
    return f"{mean} {_range(found[0])}" if is_told else mean


def _range(each: Expected) -> str:
    return f"({each.p10:.0f}–{each.p90:.0f})"


def _remarks(found: Budget, *, reader: Reader) -> tuple[str, ...]:
    return (
        *(reasons.say(each, reader=reader) for each in found.cautions),
        *_without_dates(found),
        *_without_cost(found, reader=reader),
    )


def _without_dates(found: Budget) -> tuple[str, ...]:
    count = len(found.without_dates)
    if not count:
        return ()
    text = ngettext(
        "%(count)s of %(all)s machines has no date that may be shown and is in no "
        "number here.",
        "%(count)s of %(all)s machines have no date that may be shown and are in no "
        "number here.",
        count,
    )
    return (text % {"count": count, "all": found.machines},)


def _without_cost(found: Budget, *, reader: Reader) -> tuple[str, ...]:
    by_kind: dict[OptionKind, list[Item]] = {}
    for kind, name in found.without_cost:
        by_kind.setdefault(kind, []).append(name)
    return tuple(
        _("Counted without a cost: %(work)s (missing: %(items)s).")
        % {
            "work": spoken.kind(kind, reader=reader),
            "items": money.missing(names, reader=reader),
        }
        for kind, names in by_kind.items()
    )
