"""The options of a machine followed over years, on the contractor's own terms."""

from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections.decisions import comparison
from inspections.decisions.records import Comparison
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
    compared = comparison.compare(
        options=found.options,
        facts=found.facts,
        thresholds=found.terms.thresholds,
        as_of=now.date(),
        seed=seed,
        horizon_years=float(horizon_years),
        draws=draws,
        day_out=found.terms.rates.day_out,
        learnt=learnt.of_fleet(scope=scope),
    )
    return Compared(found=found, comparison=compared)
