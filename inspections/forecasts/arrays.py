"""Series as the flat arrays that the projection kernel takes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

import numpy as np

from inspections.forecasts.series import CLASSES, WearSeries
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.limits import Limits
from inspections.projection.series import Arranged, arrange

DAYS_A_YEAR = 365.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The kernel's inputs, in the order of the series they were made from."""

    series: tuple[WearSeries, ...]
    arranged: Arranged
    points: tuple[tuple[int, int] | None, ...]
    hierarchy: Hierarchy
    limits: Limits
    known_installation: np.ndarray


def years_between(start: date | datetime, moment: datetime) -> float:
    """Return the time from a day (its beginning, UTC) to an instant, in years."""
    begin = (
        start
        if isinstance(start, datetime)
        else datetime.combine(start, time(0), tzinfo=UTC)
    )
    return (moment - begin).total_seconds() / 86400.0 / DAYS_A_YEAR


def columns(series: Sequence[WearSeries]) -> Columns:
    """Return the arrays of series; a pool is one class of wear on one machine."""
    ordered = sorted(
        series, key=lambda s: (s.machine_id, CLASSES.index(s.class_name), s.begun_on)
    )
    index, clock, level, noise, visit = [], [], [], [], []
    installation: list[bool] = []
    points: list[tuple[int, int] | None] = []
    for number, one in enumerate(ordered):
        if one.tolerance_mm is not None:
            index.append(number)
            clock.append(0.0)
            level.append(0.0)
            noise.append(one.tolerance_mm)
            visit.append(-1 - number)
            installation.append(True)
            points.append(None)
        for place, point in enumerate(one.points):
            index.append(number)
            clock.append(max(years_between(one.begun_on, point.taken_at), 0.0))
            level.append(point.level_mm)
            noise.append(point.sd_mm)
            visit.append(point.visit_id)
            installation.append(False)
            points.append((number, place))
    arranged = arrange(
        series=np.array(index, dtype=np.int64),
        clock=np.array(clock, dtype=np.float64),
        level_mm=np.array(level, dtype=np.float64),
        noise_mm=np.array(noise, dtype=np.float64),
        visit=np.array(visit, dtype=np.int64),
        installation=np.array(installation, dtype=np.bool_),
        series_count=len(ordered),
    )
    return Columns(
        series=tuple(ordered),
        arranged=arranged,
        points=tuple(points),
        hierarchy=_hierarchy(ordered),
        limits=Limits(
            limit_mm=np.array(
                [
                    np.nan if s.limit_level_mm is None else s.limit_level_mm
                    for s in ordered
                ]
            ),
            limit_sd_mm=np.array([s.limit.sd if s.limit else 0.0 for s in ordered]),
        ),
        known_installation=np.array(
            [s.tolerance_mm is not None for s in ordered], dtype=np.bool_
        ),
    )


def _hierarchy(ordered: Sequence[WearSeries]) -> Hierarchy:
    pools: list[tuple[int, str]] = []
    epochs: list[tuple[int, str, date]] = []
    epoch_of_series, machine_of_epoch = [], []
    for one in ordered:
        pool = (one.machine_id, one.class_name)
        epoch = (*pool, one.begun_on)
        if not pools or pools[-1] != pool:
            pools.append(pool)
        if not epochs or epochs[-1] != epoch:
            epochs.append(epoch)
            machine_of_epoch.append(len(pools) - 1)
        epoch_of_series.append(len(epochs) - 1)
    return Hierarchy(
        epoch_of_series=np.array(epoch_of_series, dtype=np.int64),
        machine_of_epoch=np.array(machine_of_epoch, dtype=np.int64),
        class_of_machine=np.array(
            [CLASSES.index(name) for _, name in pools], dtype=np.int64
        ),
    )
