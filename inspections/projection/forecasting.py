"""Forecasts of a whole fleet: readings in, distributions of the date out.

The door of this package for the nightly run.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import (
    arrays,
    fitting,
    layout,
    observations,
    passage,
    sanity,
    straightening,
)
from inspections.projection import hyper as hyperparameters
from inspections.projection.approaching import approach, limit_share, slope_share
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.hierarchy import Hierarchy, chunks
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.limits import Limits
from inspections.projection.observations import Laid
from inspections.projection.others import Others
from inspections.projection.place import ChunkPlace
from inspections.projection.series import Readings
from inspections.projection.usage import Usage

PROBABILITIES = (0.02, 0.10, 0.50, 0.90)
SERIES_PER_CHUNK = 32_768

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
    precision: Floats
    information: Floats
    shared: Floats
    state: Integers
    flagged: Flags
    weight: Floats


def forecast(
    *,
    readings: Readings,
    hierarchy: Hierarchy,
    limits: Limits,
    known_installation: Flags,
    horizon_years: Floats,
    hyper: ClassHyperparameters,
    usage: Usage | None = None,
    probabilities: tuple[float, ...] = PROBABILITIES,
    series_per_chunk: int = SERIES_PER_CHUNK,
    robust: bool = True,
    confirmed: Flags | None = None,
    others: Others | None = None,
) -> Forecasts:
    """Return the forecast of every series; one series never spoils another's.

    known_installation : (S,) the clock runs from a known installation
    horizon_years : (S,) from the last reading, e.g. until the next visit
    confirmed : (N,) readings of which someone has said that they are right: they keep
        full weight, and are never flagged
    others : (S,) what all other series say of each, where that is held fixed
    usage : (S,) for clocks that count trips; without it the clock is in years

    Series without readings or without a usable limit are set aside with their state.
    Raises ValueError when the arrays do not fit together.
    """
    count = readings.series_count
    hierarchy.check(series_count=count, class_count=hyper.classes)
    state = np.full(count, FORECAST, dtype=np.int8)
    state[~limits.usable] = NO_LIMIT
    state[readings.counts == 0] = NO_READING
    single = hyperparameters.single(hyper)
    result = _blank(readings, state, len(probabilities))
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        _forecast_all(
            result,
            readings,
            hierarchy,
            limits,
            known_installation,
            horizon_years,
            single,
            usage,
            probabilities,
            series_per_chunk,
            robust,
            confirmed,
            others,
        )
    _set_aside(result, sanity.beyond(result=result, readings=readings, limits=limits))
    return result


def _forecast_all(
    result: Forecasts,
    readings: Readings,
    hierarchy: Hierarchy,
    limits: Limits,
    known_installation: Flags,
    horizon_years: Floats,
    single: ClassHyperparameters,
    usage: Usage | None,
    probabilities: tuple[float, ...],
    series_per_chunk: int,
    robust: bool,
    confirmed: Flags | None,
    others: Others | None,
) -> None:
    """Fill the answers chunk by chunk, machines whole, set-aside series left out."""
    state, counts = result.state, readings.counts
    for first, after in chunks(hierarchy=hierarchy, series_per_chunk=series_per_chunk):
        inside = np.flatnonzero(state[first:after] == FORECAST)
        if inside.size == 0:
            continue
        order = layout.best_read_first(counts[inside + first])
        place = ChunkPlace.of(first=first, after=after, inside=inside, order=order)
        inside = inside[order]
        chosen = inside + first
        here = readings.slice(first=first, after=after)
        laid, at = _laid(here, inside)
        tree = hierarchy.slice(first=first, after=after).take(chosen=inside)
        limit_mm = limits.limit_mm[chosen].astype(np.float32)
        fitted = fitting.fit(
            readings=laid,
            hierarchy=tree,
            limit_mm=limit_mm,
            known_installation=known_installation[chosen],
            hyper=single,
            robust=robust,
            confirmed=None
            if confirmed is None
            else confirmed[at + readings.bounds[first]],
            others=None if others is None else others.select(chosen).single(),
        )
        doubted = np.flatnonzero(fitted.weight < 1.0)
        where = at[doubted] + readings.bounds[first]
        result.flagged[where] = fitted.flagged[doubted]
        result.weight[where] = fitted.weight[doubted]
        _fill(
            result,
            place,
            fitted=fitted,
            class_of_series=tree.class_of_series,
            limit_mm=limit_mm,
            limit_sd_mm=limits.limit_sd_mm[chosen].astype(np.float32),
            horizon=horizon_years[chosen].astype(np.float32),
            hyper=single,
            usage=None if usage is None else usage.select(chosen),
            probabilities=probabilities,
        )


def _laid(here: Readings, inside: Integers) -> tuple[Laid, Integers]:
    """Return a chunk's readings as they are fastest, and where each one was."""
    counts = here.counts[inside]
    if int(counts[0]) <= layout.MOST_COLUMNS:
        return observations.in_columns(readings=here, chosen=inside)
    at = arrays.segment_positions(here.bounds[inside], counts)
    return observations.in_runs(here.select(chosen=inside)), at


def _set_aside(result: Forecasts, bad: Flags) -> None:
    """Turn what could not be computed into a state, so that no NaN comes out."""
    unknown_is_zero = (
        result.chance_before_horizon,
        result.chance_already,
        result.share_learnt,
        result.limit_share,
        result.level_mm,
        result.rate_mm_per_clock,
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


def _blank(readings: Readings, state: Integers, probabilities: int) -> Forecasts:
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
        precision=np.zeros(count),
        information=np.zeros(count),
        shared=np.zeros(count),
        state=state,
        flagged=np.zeros(readings.clock.size, dtype=np.bool_),
        weight=np.ones(readings.clock.size, dtype=np.float32),
    )


def _fill(
    result: Forecasts,
    place: ChunkPlace,
    *,
    fitted: fitting.Fit,
    class_of_series: Integers,
    limit_mm: Floats,
    limit_sd_mm: Floats,
    horizon: Floats,
    hyper: ClassHyperparameters,
    usage: Usage | None,
    probabilities: tuple[float, ...],
) -> None:
    inferred = fitted.inferred
    way = approach(
        inferred=inferred,
        class_of_series=class_of_series,
        limit_mm=limit_mm,
        limit_sd_mm=limit_sd_mm,
        hyper=hyper,
        usage=usage,
    )
    form = passage.form_of(way)
    years = passage.quantiles(approach=way, probabilities=probabilities, form=form)
    # no limit was met before the part was fitted
    pace = 1.0 if usage is None else np.exp(usage.log_per_year)
    np.maximum(years, -fitted.chunk.observed.last_clock / pace, out=years)
    if usage is not None:
        years = usage.calendar(years)
        horizon = usage.steady(horizon)
    place.put(result.quantiles_years, years)
    chance = passage.chance_before(approach=way, horizon=horizon, form=form)
    place.put(result.chance_before_horizon, chance)
    now = np.zeros_like(horizon)
    already = passage.chance_before(approach=way, horizon=now, form=form)
    place.put(result.chance_already, already)
    learnt = slope_share(inferred, class_of_series, hyper)
    place.put(result.share_learnt, learnt)
    theta = hyper.curvature[class_of_series]
    by_limit = limit_share(
        way=way,
        limit_sd_mm=limit_sd_mm,
        steepness=straightening.steepness(
            level=limit_mm, limit=limit_mm, curvature=theta
        ),
        ahead_years=np.maximum(way.margin, 0.0) / np.exp(way.log_rate) - way.lag,
    )
    place.put(result.limit_share, by_limit)
    rate = np.exp(inferred.pooled.mean)
    straight = inferred.level - rate * inferred.centre_clock
    bent = straightening.level_of(
        straight=np.minimum(straight, 1.5 * limit_mm), limit=limit_mm, curvature=theta
    )
    even = np.abs(theta) < straightening.SMALLEST_CURVATURE
    level = np.where(even, straight, bent)
    steep = straightening.steepness(level=level, limit=limit_mm, curvature=theta)
    spread = inferred.centre_clock * rate
    variance = inferred.level_variance + spread**2 * inferred.pooled.variance
    place.put(result.level_mm, level)
    place.put(result.level_sd_mm, np.sqrt(variance) / steep)
    place.put(result.rate_mm_per_clock, rate / steep)
    place.put(result.precision, inferred.precision)
    place.put(result.information, inferred.information)
    place.put(result.shared, inferred.shared)
