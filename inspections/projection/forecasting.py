"""Forecasts of a whole fleet: readings in, distributions of the date out.

The door of this package for the nightly run.
"""

import numpy as np

from inspections.projection import (
    arrays,
    filling,
    fitting,
    layout,
    observations,
    results,
    sanity,
)
from inspections.projection import hyper as hyperparameters
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.hierarchy import Hierarchy, chunks
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.limits import Limits
from inspections.projection.observations import Laid
from inspections.projection.others import Others
from inspections.projection.place import ChunkPlace
from inspections.projection.results import (
    FORECAST,
    NO_LIMIT,
    NO_READING,
    NOT_COMPUTABLE,
    Forecasts,
)
from inspections.projection.series import Readings
from inspections.projection.usage import Usage

__all__ = [
    "FORECAST",
    "NOT_COMPUTABLE",
    "NO_LIMIT",
    "NO_READING",
    "Forecasts",
    "forecast",
]

PROBABILITIES = (0.02, 0.10, 0.50, 0.90)
SERIES_PER_CHUNK = 16_384
"""Seven nodes of so many rates in single precision still fit in half a megabyte, what a
core has to itself; with half as many again the same fleet takes twice as long."""


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
    result = results.blank(readings, state, len(probabilities))
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
    results.set_aside(
        result, sanity.beyond(result=result, readings=readings, limits=limits)
    )
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
        filling.fill(
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
