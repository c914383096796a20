"""From quantiles in years to dates, and to what may honestly be shown."""

from dataclasses import dataclass
from datetime import date, timedelta
from math import isfinite

from inspections.forecasts.arrays import DAYS_A_YEAR
from inspections.models import ForecastState

# Our rules: nothing is promised beyond this, and a band wider than this tells no more
# than "not before".
FARTHEST_YEARS = 25.0
WIDEST_RATIO = 10.0
PRIOR_ONLY_BELOW = 0.2
PROVISIONAL_BELOW = 0.6
LIKELY_REACHED = 0.5

BEYOND = "no limit seen within 25 years at today's rate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What is shown of one forecast: its state, why, and the dates it may give."""

    state: str
    reason: str = ""
    p02_on: date | None = None
    p10_on: date | None = None
    p50_on: date | None = None
    p90_on: date | None = None


def show(
    *,
    last_on: date,
    years: tuple[float, float, float, float],
    readings_count: int,
    known_installation: bool,
    share_learnt: float,
    chance_already: float,
    last_is_outlier: bool,
) -> Shown:
    """Return what may be shown of a forecast from (P2, P10, P50, P90) in years."""
    if last_is_outlier:
        return Shown(
            state=ForecastState.SUSPENDED,
            reason="the last reading does not fit the others: measure again",
        )
    if readings_count == 0:
        return Shown(state=ForecastState.NONE, reason="no reading yet")
    p02, p10, p50, p90 = (_day(last_on, value) for value in years)
    if chance_already > LIKELY_REACHED:
        return Shown(
            state=ForecastState.REACHED,
            reason=f"about {round(100 * chance_already)} in 100 that it is met already",
            p02_on=p02,
            p10_on=p10,
            p50_on=p50,
            p90_on=p90,
        )
    if years[1] > FARTHEST_YEARS:
        return Shown(state=ForecastState.BEYOND, reason=BEYOND, p02_on=p02)
    state = _state(share_learnt)
    if readings_count == 1 and not known_installation:
        return Shown(
            state=ForecastState.PRIOR_ONLY,
            reason="one reading and no known start: rates of other machines only",
            p02_on=p02,
            p10_on=p10,
        )
    if years[1] > 0 and years[3] / years[1] > WIDEST_RATIO:
        return Shown(
            state=state,
            reason="the band is too wide for more than an earliest date",
            p02_on=p02,
            p10_on=p10,
        )
    return Shown(state=state, p02_on=p02, p10_on=p10, p50_on=p50, p90_on=p90)


def _state(share_learnt: float) -> str:
    if share_learnt < PRIOR_ONLY_BELOW:
        return ForecastState.PRIOR_ONLY
    if share_learnt < PROVISIONAL_BELOW:
        return ForecastState.PROVISIONAL
    return ForecastState.ESTABLISHED


def _day(last_on: date, years: float) -> date | None:
    """Return the day some years after another; None where it is too far to tell."""
    if not isfinite(years) or years > 2 * FARTHEST_YEARS:
        return None
    return last_on + timedelta(days=round(max(years, -FARTHEST_YEARS) * DAYS_A_YEAR))
