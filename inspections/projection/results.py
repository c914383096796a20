"""What comes out of forecasts: answers for each series, and its state."""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.series import Readings

FORECAST = 0
NO_READING = 1
"""Neither a reading nor a known installation: nothing can be said of this series."""
NOT_COMPUTABLE = 3
"""The numbers are beyond single precision (a limit of nothing, wear of kilometres), or
what came out cannot be (``sanity``)."""
NO_LIMIT = 2
"""The limit or its standard deviation is missing, not finite or not positive."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecasts:
    """Answers per series (S,) and per reading (N,). No NaN anywhere.

    quantiles_years : (P, S) years from the last reading until the limit is met;
        negative: met before it, though never before the clock began; +inf where
        ``state`` is not FORECAST
    chance_before_horizon : chance the limit is met within the horizon, 0 if unknown
    chance_already : chance it was met by the last reading, 0 if unknown
    share_learnt : share of the rate's prior variance the readings removed
    limit_share : share of the date's variance that the limit's own deviation makes
    level_mm, level_sd_mm : level at the last reading
    rate_mm_per_clock : median wear rate at that level
    log_rate_sd : of the logarithm of the rate
    centre_clock : <= 0, from the last reading, where level and rate are independent
    noise_factor : noise variance over what the class promises
    precision, information, shared : message of each series by itself about the
        logarithm of its rate, and how much of its variance the installation shares
    state : FORECAST, NO_READING, NO_LIMIT or NOT_COMPUTABLE
    flagged : readings to be measured again; weight : robust weight of each
    """

    quantiles_years: Floats
    chance_before_horizon: Floats
    chance_already: Floats
    share_learnt: Floats
    limit_share: Floats
    level_mm: Floats
    level_sd_mm: Floats
    rate_mm_per_clock: Floats
    log_rate_sd: Floats
    centre_clock: Floats
    noise_factor: Floats
    precision: Floats
    information: Floats
    shared: Floats
    state: Integers
    flagged: Flags
    weight: Floats


def set_aside(result: Forecasts, bad: Flags) -> None:
    """Turn what could not be computed into a state, so that no NaN comes out."""
    unknown_is_zero = (
        result.chance_before_horizon,
        result.chance_already,
        result.share_learnt,
        result.limit_share,
        result.level_mm,
        result.rate_mm_per_clock,
        result.log_rate_sd,
        result.centre_clock,
        result.noise_factor,
        result.precision,
        result.information,
        result.shared,
    )
    bad |= np.isnan(result.quantiles_years).any(axis=0) | np.isnan(result.level_sd_mm)
    for column in unknown_is_zero:
        bad |= np.isnan(column)
    if not bool(bad.any()):
        return
    result.state[bad] = NOT_COMPUTABLE
    result.quantiles_years[:, bad] = np.inf
    result.level_sd_mm[bad] = np.inf
    for column in unknown_is_zero:
        column[bad] = 0.0


def blank(readings: Readings, state: Integers, probabilities: int) -> Forecasts:
    """Return answers that say nothing yet, for as many probabilities."""
    count = state.size
    return Forecasts(
        quantiles_years=np.full((probabilities, count), np.inf),
        chance_before_horizon=np.zeros(count),
        chance_already=np.zeros(count),
        share_learnt=np.zeros(count),
        limit_share=np.zeros(count),
        level_mm=np.zeros(count),
        level_sd_mm=np.full(count, np.inf),
        rate_mm_per_clock=np.zeros(count),
        log_rate_sd=np.zeros(count),
        centre_clock=np.zeros(count),
        noise_factor=np.ones(count),
        precision=np.zeros(count),
        information=np.zeros(count),
        shared=np.zeros(count),
        state=state,
        flagged=np.zeros(readings.clock.size, dtype=np.bool_),
        weight=np.ones(readings.clock.size, dtype=np.float32),
    )
