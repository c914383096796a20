"""Small fleets of wear, for tests of the projection."""

from collections.abc import Callable

import numpy as np
import pytest

from inspections.projection import hyper, series
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.limits import Limits


@pytest.fixture
def class_values() -> hyper.ClassHyperparameters:
    """One class: 0.2 mm a year, gauges as promised."""
    return hyper.starting(rate_per_clock=np.array([0.2]))


@pytest.fixture
def arguments() -> Callable[..., dict]:
    """Return arguments of ``forecast``: each list of (clock, level) is one series, all
    of one installation unless told otherwise; limit 3 mm, gauges of 0.1 mm."""

    def build(
        *histories: list[tuple[float, float]],
        epochs: list[int] | None = None,
        machines: list[int] | None = None,
        limit_mm: float = 3.0,
        limit_sd_mm: float = 0.0,
        known: bool = False,
    ) -> dict:
        count = len(histories)
        rows = [
            (number, *point)
            for number, history in enumerate(histories)
            for point in history
        ]
        column = np.array(rows, dtype=float).reshape(-1, 3).T
        epoch = np.zeros(count, dtype=int) if epochs is None else np.array(epochs)
        size = int(epoch.max()) + 1
        machine = np.zeros(size, dtype=int) if machines is None else np.array(machines)
        installation = known & (column[1] == 0)
        found = series.arrange(
            series=column[0].astype(int),
            clock=column[1],
            level_mm=column[2],
            noise_mm=np.full(column.shape[1], 0.1),
            installation=installation,
            series_count=count,
        )
        return {
            "readings": found.readings,
            "hierarchy": Hierarchy(
                epoch_of_series=epoch,
                machine_of_epoch=machine,
                class_of_machine=np.zeros(int(machine.max()) + 1, dtype=int),
            ),
            "limits": Limits(
                limit_mm=np.full(count, limit_mm),
                limit_sd_mm=np.full(count, limit_sd_mm),
            ),
            "known_installation": np.full(count, known),
            "horizon_years": np.ones(count),
        }

    return build
