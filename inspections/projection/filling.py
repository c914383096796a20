"""Answers of one chunk, worked out of its fit and put in their places."""

import numpy as np

from inspections.projection import fitting, passage, straightening
from inspections.projection.approaching import approach, limit_share, slope_share
from inspections.projection.arrays import Floats, Integers
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.inference import Inference
from inspections.projection.place import ChunkPlace
from inspections.projection.results import Forecasts
from inspections.projection.usage import Usage


def fill(
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
    """Fill in the dates of a chunk, their chances, and the levels they start from."""
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
    _fill_levels(result, place, inferred=inferred, limit_mm=limit_mm, curvature=theta)


def _fill_levels(
    result: Forecasts,
    place: ChunkPlace,
    *,
    inferred: Inference,
    limit_mm: Floats,
    curvature: Floats,
) -> None:
    """Fill in level and rate at the last reading, and what each series says alone."""
    rate = np.exp(inferred.pooled.mean)
    straight = inferred.level - rate * inferred.centre_clock
    bent = straightening.level_of(
        straight=np.minimum(straight, 1.5 * limit_mm),
        limit=limit_mm,
        curvature=curvature,
    )
    even = np.abs(curvature) < straightening.SMALLEST_CURVATURE
    level = np.where(even, straight, bent)
    steep = straightening.steepness(level=level, limit=limit_mm, curvature=curvature)
    spread = inferred.centre_clock * rate
    variance = inferred.level_variance + spread**2 * inferred.pooled.variance
    place.put(result.level_mm, level)
    place.put(result.level_sd_mm, np.sqrt(variance) / steep)
    place.put(result.rate_mm_per_clock, rate / steep)
    place.put(result.log_rate_sd, np.sqrt(inferred.pooled.variance))
    place.put(result.centre_clock, inferred.centre_clock)
    place.put(result.noise_factor, inferred.noise_factor)
    place.put(result.precision, inferred.precision)
    place.put(result.information, inferred.information)
    place.put(result.shared, inferred.shared)
