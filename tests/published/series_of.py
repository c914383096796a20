"""Published degradation data as readings, each unit a machine of its own."""

import csv
from pathlib import Path

import numpy as np

from inspections.projection import series
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.limits import Limits

FOLDER = Path(__file__).parents[2] / "fixtures" / "published"


def columns(name: str) -> list[np.ndarray]:
    """Return the columns of a file of ``fixtures/published`` as floats."""
    with (FOLDER / name).open() as lines:
        rows = list(csv.reader(lines))[1:]
    return [np.array(column, dtype=float) for column in zip(*rows, strict=True)]


def arguments(
    *,
    unit: np.ndarray,
    clock: np.ndarray,
    level: np.ndarray,
    limit: float,
    noise: float,
    tolerance: float,
    kind: np.ndarray | None = None,
) -> dict:
    """Return arguments of ``learn`` and ``forecast``; every unit began at level 0.

    kind : class of each reading's unit, counted from 0; one class without it
    Readings at clock 0 are dropped: the installation stands for them.
    """
    names, first, index = np.unique(unit, return_index=True, return_inverse=True)
    count = names.size
    later = clock > 0
    size = int(later.sum())
    found = series.arrange(
        series=np.concatenate([np.arange(count), index[later]]),
        clock=np.concatenate([np.zeros(count), clock[later]]),
        level_mm=np.concatenate([np.zeros(count), level[later]]),
        noise_mm=np.concatenate([np.full(count, tolerance), np.full(size, noise)]),
        installation=np.arange(count + size) < count,
        series_count=count,
    )
    return {
        "readings": found.readings,
        "hierarchy": Hierarchy(
            epoch_of_series=np.arange(count),
            machine_of_epoch=np.arange(count),
            class_of_machine=np.zeros(count, dtype=int)
            if kind is None
            else kind[first].astype(int),
        ),
        "limits": Limits(limit_mm=np.full(count, limit), limit_sd_mm=np.zeros(count)),
        "known_installation": np.ones(count, dtype=bool),
    }
