"""What is said of each forecast: its state, the reason, and the dates it may give."""

from dataclasses import dataclass

import numpy as np

from inspections.forecasts.asking import Question
from inspections.models import ForecastState
from inspections.projection import forecasting, presentation
from inspections.projection.presentation import Case
from inspections.reasons import Code, Reason, because

NO_READING = because(Code.FORECAST_NO_READING)
NO_LIMIT = because(Code.FORECAST_NO_LIMIT)
NOT_COMPUTABLE = because(Code.FORECAST_NOT_COMPUTABLE)
NOTHING_KNOWN = because(Code.FORECAST_NOTHING_KNOWN)
TOO_WIDE = because(Code.FORECAST_TOO_WIDE)
LIKELY_REACHED = 0.5
# Two working lives ahead: a later day is not shown at all.
FARTHEST_YEARS = 50.0
LONGEST_AGO_YEARS = 25.0

_STATES = {
    presentation.NOTHING: ForecastState.NONE,
    presentation.SUSPENDED: ForecastState.SUSPENDED,
    presentation.CLASS_RANGE: ForecastState.PRIOR_ONLY,
    presentation.EARLIER_PARTS: ForecastState.PRIOR_ONLY,
    presentation.ONE_IN_TEN: ForecastState.PRIOR_ONLY,
    presentation.PROVISIONAL: ForecastState.PROVISIONAL,
    presentation.PROJECTION: ForecastState.PROVISIONAL,
    presentation.NOT_SEEN: ForecastState.BEYOND,
}
_REASONS = {
    presentation.CLASS_RANGE: because(Code.FORECAST_CLASS_RANGE),
    presentation.EARLIER_PARTS: because(Code.FORECAST_EARLIER_PARTS),
    presentation.ONE_IN_TEN: because(Code.FORECAST_FEW_READINGS),
    presentation.NOT_SEEN: because(Code.FORECAST_BEYOND),
}
_WITH_MIDDLE = (presentation.PROVISIONAL, presentation.PROJECTION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """What the model says (S,): chances, and its own state in the kernel's codes.

    plan_years : the planning date by the contractor's rule
    visit_years : until the chance reaches that of pulling a visit forward
    pull_forward_chance : that chance, by the contractor's rule
    """

    already: np.ndarray
    before_visit: np.ndarray
    model_state: np.ndarray
    plan_years: np.ndarray
    visit_years: np.ndarray
    pull_forward_chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesSaid:
    """What is stored (S,): states and reasons, times in years from the last reading.

    A time is +inf where it is not shown.
    """

    state: list[str]
    reason: list[Reason | None]
    p02: np.ndarray
    p10: np.ndarray
    p50: np.ndarray
    p90: np.ndarray
    plan: np.ndarray
    visit: np.ndarray


def say(*, case: Case, chances: Chances, question: Question) -> SeriesSaid:
    """Return what may be said of each forecast."""
    shown = presentation.show(case)
    p02, p10, p50, p90 = case.quantiles_years
    reached = (chances.already > LIKELY_REACHED) & ~np.isin(
        shown.form, (presentation.NOTHING, presentation.SUSPENDED)
    )
    early = np.isfinite(shown.one_in_ten_years) | reached
    failed = chances.model_state == forecasting.NOT_COMPUTABLE
    failed &= case.readings > 0
    # a question takes no date away, nor do numbers that cannot be
    waiting = (shown.form == presentation.SUSPENDED) & (p10 <= presentation.SEEN_YEARS)
    pull = case.safety & ((shown.form != presentation.NOTHING) | failed)
    pull &= (chances.before_visit > chances.pull_forward_chance) | failed
    return SeriesSaid(
        state=_states(shown, reached),
        reason=_reasons(case, chances, question, shown, reached),
        p02=np.where(early, p02, np.inf),
        p10=np.where(early, p10, np.inf),
        p50=np.where(reached, p50, shown.middle_years),
        p90=np.where(reached, p90, shown.nine_in_ten_years),
        # never later than the one-in-ten date, whatever the rule
        plan=np.where(
            early | waiting | failed, np.minimum(chances.plan_years, p10), np.inf
        ),
        visit=np.where(pull, chances.visit_years, np.inf),
    )


def _states(shown: presentation.Shown, reached: np.ndarray) -> list[str]:
    found = []
    for form, label, met in zip(
        shown.form.tolist(), shown.label.tolist(), reached.tolist(), strict=True
    ):
        state = _STATES[form]
        if form in _WITH_MIDDLE and label == presentation.PRIOR_ONLY:
            state = ForecastState.PRIOR_ONLY
        if form == presentation.PROJECTION and label == presentation.ESTABLISHED:
            state = ForecastState.ESTABLISHED
        found.append(str(ForecastState.REACHED if met else state))
    return found


def _reasons(
    case: Case,
    chances: Chances,
    question: Question,
    shown: presentation.Shown,
    reached: np.ndarray,
) -> list[Reason | None]:
    """Return why no more is said; None where everything is."""
    found = [_REASONS.get(form) for form in shown.form.tolist()]
    wide = np.isin(shown.form, _WITH_MIDDLE) & ~np.isfinite(shown.middle_years)
    for row in np.flatnonzero(wide):
        found[row] = TOO_WIDE
    for row in np.flatnonzero(reached):
        share = round(100 * chances.already[row])
        found[row] = because(Code.FORECAST_LIKELY_MET, share=share)
    for row in np.flatnonzero(shown.form == presentation.NOTHING):
        found[row] = _why_not(int(chances.model_state[row]), int(case.readings[row]))
    for row in np.flatnonzero(shown.form == presentation.SUSPENDED):
        found[row] = question.asked[int(row)]
    return found


def _why_not(model_state: int, readings: int) -> Reason:
    if readings == 0:
        return NO_READING
    if model_state == forecasting.NO_LIMIT:
        return NO_LIMIT
    if model_state == forecasting.NOT_COMPUTABLE:
        return NOT_COMPUTABLE
    return NOTHING_KNOWN


def days(*, last: np.ndarray, years: np.ndarray) -> np.ndarray:
    """Return the days some years after other days; NaT where it is too far to tell."""
    near = np.isfinite(years) & (years <= FARTHEST_YEARS)
    ahead = np.where(near, np.maximum(years, -LONGEST_AGO_YEARS), 0.0)
    found = last + np.rint(ahead * 365.25).astype("timedelta64[D]")
    return np.where(near, found, np.datetime64("NaT", "D"))
