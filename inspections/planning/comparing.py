"""The options of a machine followed over years, on the contractor's own terms."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections.decisions import comparison
from inspections.decisions.records import Comparison, Learnt
from inspections.inputs import Snapshot
from inspections.options import live
from inspections.options.live import Live
from inspections.planning import learnt

# What is asked for where nobody says otherwise: the same numbers everywhere.
SEED, YEARS, DRAWS = 1, 15, 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What the options rest on, and what comes of each."""

    found: Live
    comparison: Comparison


def over_years(
    *,
    scope: Scope,
    machine_id: int,
    seed: int,
    horizon_years: int,
    draws: int,
    now: datetime,
) -> Compared:
    """Follow a machine's options; the same seed draws the same. Raises NotFound."""
    found = live.look(scope=scope, machine_id=machine_id, as_of=now)
    compared = _followed(
        found,
        seed=seed,
        horizon_years=horizon_years,
        draws=draws,
        now=now,
        learnt_of_fleet=learnt.of_fleet(scope=scope),
    )
    return Compared(found=found, comparison=compared)


def of_snapshots(
    *, scope: Scope, snapshots: Sequence[Snapshot], now: datetime
) -> Iterator[Compared]:
    """Follow the options of machines that are loaded already, as the page does.

    One by one in their order, in a constant number of queries.
    """
    if not snapshots:
        return
    learnt_of_fleet = learnt.of_fleet(scope=scope)
    for found in live.of_snapshots(scope=scope, snapshots=snapshots, as_of=now):
        compared = _followed(
            found,
            seed=SEED,
            horizon_years=YEARS,
            draws=DRAWS,
            now=now,
            learnt_of_fleet=learnt_of_fleet,
        )
        yield Compared(found=found, comparison=compared)


def _followed(
    found: Live,
    *,
    seed: int,
    horizon_years: int,
    draws: int,
    now: datetime,
    learnt_of_fleet: Learnt,
) -> Comparison:
    return comparison.compare(
        options=found.options,
        facts=found.facts,
        thresholds=found.terms.thresholds,
        as_of=now.date(),
        seed=seed,
        horizon_years=float(horizon_years),
        draws=draws,
        day_out=found.terms.rates.day_out,
        learnt=learnt_of_fleet,
    )
