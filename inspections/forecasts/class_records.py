"""What each class's readings and dates say of its forecasts: spread, factor, survival.

Worked out anew each night from what is kept beside every forecast, in order of time, so
that the factor of a day can be worked out again from it.
"""

from dataclasses import dataclass
from math import isfinite

import numpy as np
from django.db import connection

from fleet.platform.database.tenancy import Scope
from inspections.forecasts.clocks import YEAR_S
from inspections.forecasts.loading import CLASSES, DAY_S
from inspections.models import ForecastScore
from inspections.projection import adapting, survival, together

TENTHS = 10

_READ = """
SELECT array_position(%s::text[], class_name::text) - 1, read_chance, read_score,
       machine_id, extract(epoch FROM read_at)::float8
FROM inspections_forecast
WHERE contractor_id = %s AND class_name = ANY(%s::text[]) AND read_chance IS NOT NULL
"""
_TESTED = """
SELECT array_position(%s::text[], class_name::text) - 1, machine_id,
       extract(year FROM tested_at)::int, tested_chance
FROM inspections_forecast
WHERE contractor_id = %s AND class_name = ANY(%s::text[]) AND tested_chance IS NOT NULL
ORDER BY tested_at, id
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRecord:
    """chances : readings in each tenth of their forecasts; score : mean CRPS

    together : how far what the forecasts missed hangs together
    """

    chances: list[int]
    score: float
    adapted: adapting.Adapted
    together: together.Together

    def write(self, row: ForecastScore) -> None:
        """Put it into the class's score of the day."""
        row.readings, row.chances = sum(self.chances), self.chances
        row.reading_score = self.score
        row.tests, row.missed = self.adapted.scores, self.adapted.missed
        row.tested_machines = self.adapted.machines
        row.factor = self.adapted.factor
        known = self.together
        row.shared_on_machine = known.within if isfinite(known.within) else None
        row.shared_in_class = known.between if isfinite(known.between) else None
        row.pairs, row.periods = known.pairs, known.periods


def of_readings(*, scope: Scope) -> dict[str, ClassRecord]:
    """Return the record of every class of which a reading was held against one."""
    kind, chance, score, whose, read_at = _columns(_READ, scope, 5)
    tested, machine, year, beyond = _columns(_TESTED, scope, 4)
    found = {}
    for number in np.unique(kind).astype(int).tolist():
        of = kind == number
        tenth = np.minimum(chance[of] * TENTHS, TENTHS - 1).astype(int)
        own = np.flatnonzero(tested == number)
        once = own[
            adapting.once_a_machine_and_year(machine=machine[own], year=year[own])
        ]
        found[CLASSES[number]] = ClassRecord(
            chances=np.bincount(tenth, minlength=TENTHS).tolist(),
            score=float(score[of].mean()),
            adapted=adapting.adapt(pit=beyond[once], machine=machine[once]),
            together=together.of_class(
                chance=chance[of],
                machine=whose[of].astype(np.int64),
                read_years=read_at[of] / YEAR_S,
                day=np.floor(read_at[of] / DAY_S).astype(np.int64),
            ),
        )
    return found


def _columns(query: str, scope: Scope, count: int) -> list[np.ndarray]:
    with connection.cursor() as cursor:
        cursor.execute(query, [list(CLASSES), scope.contractor_id, list(CLASSES)])
        rows = cursor.fetchall()
    columns = zip(*rows, strict=True) if rows else [()] * count
    return [np.array(column, dtype=np.float64) for column in columns]


def factors(*, scope: Scope) -> dict[str, float]:
    """Return the factor on planning deviates of each class that has one."""
    rows = (
        ForecastScore.objects.within(scope)
        .order_by("class_name", "-scored_on")
        .distinct("class_name")
    )
    return {row.class_name: row.factor for row in rows if row.factor != 1.0}


def met_by(
    *, quantiles_years: np.ndarray, elapsed_years: np.ndarray, met: np.ndarray
) -> list[dict[str, float]]:
    """Return what had reached its limit by each forecast chance, for a score's field.

    quantiles_years : P10, P50, P90 (3, n) of forecasts of one class, one a part
    """
    chance = survival.chance_by(
        quantiles_years=quantiles_years, elapsed_years=elapsed_years
    )
    found = survival.met_by(chance=chance, met=met)
    return [
        {"chance": at, "watched": watched, "met": share, "error": error}
        for at, watched, share, error in zip(
            survival.AT,
            found.at_risk.astype(int).tolist(),
            found.share.round(4).tolist(),
            found.error.round(4).tolist(),
            strict=True,
        )
    ]
