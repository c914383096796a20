"""The contractor's own rates, lead times and thresholds as records of a decision."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.decisions import thresholds
from inspections.decisions.records import (
    BoughtPart,
    Estimate,
    LeadTimes,
    OptionKind,
    Rates,
    Thresholds,
)
from inspections.inputs import least_set
from inspections.models import Terms, TermsSubject

# What options are worked out with.
OF_OPTIONS = (TermsSubject.RATES, TermsSubject.LEAD_TIMES, TermsSubject.THRESHOLDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentTerms:
    """The terms that count now, and the rows that say them: subject -> id or None."""

    rates: Rates
    lead_times: LeadTimes
    thresholds: Thresholds
    rows: Mapping[str, int | None]


def standing_terms(*, scope: Scope) -> CurrentTerms:
    """Return the terms that count now; what was never said is not known."""
    rows = {row.subject: row for row in queries.standing_terms(scope=scope)}
    return CurrentTerms(
        rates=rates_of(rows.get(TermsSubject.RATES)),
        lead_times=lead_times_of(rows.get(TermsSubject.LEAD_TIMES)),
        thresholds=thresholds_of(rows.get(TermsSubject.THRESHOLDS)),
        rows={name: rows[name].pk if name in rows else None for name in OF_OPTIONS},
    )


def rates_of(row: Terms | None) -> Rates:
    """Return a row's rates. Raises OutsideValidity for a band that is out of order."""
    if row is None:
        return Rates()
    said = row.said
    return Rates(
        currency=row.currency,
        hourly=_band(said.get("hourly")),
        hours={OptionKind(k): _sure(v) for k, v in said.get("hours", {}).items()},
        rope_per_m=_band(said.get("rope_per_m")),
        parts={BoughtPart(k): _sure(v) for k, v in said.get("parts", {}).items()},
        hoisting=_band(said.get("hoisting")),
        access=_band(said.get("access")),
        day_out=_band(said.get("day_out")),
        shop={OptionKind(k): _sure(v) for k, v in said.get("shop", {}).items()},
    )


def lead_times_of(row: Terms | None) -> LeadTimes:
    """Return a row's lead times."""
    said: Mapping[str, Any] = row.said if row else {}
    return LeadTimes(
        parts_days={
            BoughtPart(k): int(v) for k, v in said.get("parts_days", {}).items()
        },
        shop_days={OptionKind(k): int(v) for k, v in said.get("shop_days", {}).items()},
        access_days=said.get("access_days"),
    )


def thresholds_of(row: Terms | None) -> Thresholds:
    """Return the thresholds with a row's changes. Raises OutsideValidity."""
    said: Mapping[str, float] = row.said if row else {}
    return thresholds.changed(changes=said)


def checks_of(row: Terms | None) -> Mapping[str, int]:
    """Return the ages of checks that a row says. Raises least_set.Looser."""
    said: Mapping[str, int] = row.said if row else {}
    least_set.check_stricter(said)
    return said


def _band(said: Mapping[str, str] | None) -> Estimate | None:
    return None if said is None else _sure(said)


def _sure(said: Mapping[str, str]) -> Estimate:
    return Estimate(
        low=float(said["low"]), mid=float(said["mid"]), high=float(said["high"])
    )
