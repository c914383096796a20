"""The early side of a forecast: what is planned on, whatever the fit itself says."""

from dataclasses import dataclass

import numpy as np

from inspections.forecasts.answers import PlanningChances
from inspections.projection import forecasting
from inspections.projection.forecasting import Forecasts
from inspections.projection.guarding import Guarded


@dataclass(frozen=True, slots=True, kw_only=True)
class Early:
    """quantiles_years : (4, S) P2, P10, P50, P90; +inf where nothing is computable
    plan_years, visit_years : (S,) to plan on, and to have looked by
    already, before_visit : (S,) chances that the limit is met
    """

    quantiles_years: np.ndarray
    plan_years: np.ndarray
    visit_years: np.ndarray
    already: np.ndarray
    before_visit: np.ndarray


def early(
    *,
    found: Forecasts,
    planned: np.ndarray,
    guarded: Guarded,
    rule: PlanningChances,
    safety: np.ndarray,
    doubted: np.ndarray,
    used_up: np.ndarray,
    passed_years: np.ndarray,
    horizon_years: np.ndarray,
) -> Early:
    """Return P2, P10 and the planning date by the curve that a worse reading lowers.

    planned : (P, S) years by ``planning.plan`` at the rule's probabilities
    guarded : the same for machines whose wear runs ahead, or that are worn through a
        hardened layer before their limit; the dates to plan on and to have looked by,
        and the chance before the visit, count on it
    doubted : (S,) the fit has set a reading aside that nobody has answered for, or
        forecasts of its class have missed too often: the chances are then at least
        those of the curve, which believes both
    used_up : (S,) chance that no wear at all is beyond the limit; the fit, which takes
        every limit for one above none, knows nothing of it
    passed_years : (S,) since when a limit counts as passed, from the last reading; +inf
        where it does not. No limit that wear still has to reach is planned on before it

    Where the fit cannot be computed the curve stands by itself; where that cannot be
    computed either, the day to plan on is that of the last reading.
    """
    usable = found.state == forecasting.FORECAST
    failed = found.state == forecasting.NOT_COMPUTABLE
    fitted = found.quantiles_years
    curve = np.where(np.isfinite(planned), planned, fitted)
    curve = np.where(failed & ~np.isfinite(curve), 0.0, curve)
    ahead = np.where(np.isfinite(guarded.years), guarded.years, curve)
    ahead = np.minimum(ahead, curve)
    shown = np.concatenate([curve[:2], fitted[2:4]])
    shown = np.where(usable, np.maximum.accumulate(shown, axis=0), np.inf)
    visit = np.where(failed, 0.0, np.minimum(ahead[6], fitted[6]))
    unsure = doubted | failed
    plan = np.minimum(np.where(safety, ahead[4], ahead[5]), ahead[1])
    return Early(
        quantiles_years=shown,
        plan_years=np.where(np.isfinite(plan), np.minimum(plan, passed_years), plan),
        visit_years=np.where(
            np.isfinite(visit), np.minimum(visit, passed_years), visit
        ),
        already=np.maximum(
            _at_least(found.chance_already, curve, rule, 0.0, unsure), used_up
        ),
        before_visit=np.maximum(
            _at_least(
                found.chance_before_horizon,
                ahead,
                rule,
                horizon_years,
                unsure | guarded.earlier | guarded.softer,
            ),
            used_up,
        ),
    )


def _at_least(
    chance: np.ndarray,
    curve: np.ndarray,
    rule: PlanningChances,
    until: np.ndarray | float,
    unsure: np.ndarray,
) -> np.ndarray:
    """Return the chance, raised where unsure to the greatest that the curve reaches."""
    reached = np.where(curve <= until, np.array(rule.probabilities)[:, None], 0.0)
    return np.where(unsure, np.maximum(chance, reached.max(axis=0)), chance)
