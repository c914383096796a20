"""Which series belongs to which installation, machine and class, as index arrays.

A *machine* here is a pool: all series of one class on one lift. A lift with grooves,
ropes and a rim is three of them. An *epoch* is one installation of all its parts.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Integers


@dataclass(frozen=True, slots=True, kw_only=True)
class Hierarchy:
    """series -> epoch -> machine -> class.

    epoch_of_series : (S,) never falling
    machine_of_epoch : (E,) never falling
    class_of_machine : (M,) in any order
    """

    epoch_of_series: Integers
    machine_of_epoch: Integers
    class_of_machine: Integers

    @property
    def class_of_epoch(self) -> Integers:
        return self.class_of_machine[self.machine_of_epoch]

    @property
    def class_of_series(self) -> Integers:
        return self.class_of_epoch[self.epoch_of_series]

    @property
    def machine_of_series(self) -> Integers:
        return self.machine_of_epoch[self.epoch_of_series]

    def check(self, *, series_count: int, class_count: int) -> None:
        """Raise ValueError unless the arrays fit together and are in order."""
        if self.epoch_of_series.size != series_count:
            raise ValueError(
                f"epoch_of_series has {self.epoch_of_series.size} entries; "
                f"there are {series_count} series"
            )
        _check_index("epoch_of_series", self.epoch_of_series, self.epochs, ordered=True)
        _check_index(
            "machine_of_epoch", self.machine_of_epoch, self.machines, ordered=True
        )
        _check_index(
            "class_of_machine", self.class_of_machine, class_count, ordered=False
        )

    @property
    def epochs(self) -> int:
        return self.machine_of_epoch.size

    @property
    def machines(self) -> int:
        return self.class_of_machine.size

    def select(self, *, chosen: Integers) -> "Hierarchy":
        """Return the hierarchy of the chosen series (rising order), without gaps."""
        epoch, epoch_of_series = np.unique(
            self.epoch_of_series[chosen], return_inverse=True
        )
        machine, machine_of_epoch = np.unique(
            self.machine_of_epoch[epoch], return_inverse=True
        )
        return Hierarchy(
            epoch_of_series=epoch_of_series,
            machine_of_epoch=machine_of_epoch,
            class_of_machine=self.class_of_machine[machine],
        )

    def take(self, *, chosen: Integers) -> "Hierarchy":
        """Return the hierarchy of the chosen series in the order given, gaps left."""
        return Hierarchy(
            epoch_of_series=self.epoch_of_series[chosen],
            machine_of_epoch=self.machine_of_epoch,
            class_of_machine=self.class_of_machine,
        )

    def slice(self, *, first: int, after: int) -> "Hierarchy":
        """Return the part of series first .. after - 1 (cut at machine bounds)."""
        epoch = self.epoch_of_series[first:after]
        epochs = slice(int(epoch[0]), int(epoch[-1]) + 1)
        machine = self.machine_of_epoch[epochs]
        machines = slice(int(machine[0]), int(machine[-1]) + 1)
        return Hierarchy(
            epoch_of_series=epoch - epoch[0],
            machine_of_epoch=machine - machine[0],
            class_of_machine=self.class_of_machine[machines],
        )


def chunks(*, hierarchy: Hierarchy, series_per_chunk: int) -> Iterator[tuple[int, int]]:
    """Yield (first, after) runs of series that never part a machine.

    A machine with more series than ``series_per_chunk`` is one chunk by itself.
    """
    total = hierarchy.epoch_of_series.size
    machine = hierarchy.machine_of_series
    first = 0
    while first < total:
        after = min(first + series_per_chunk, total)
        if after < total:
            begun = int(np.searchsorted(machine, machine[after], side="left"))
            ended = int(np.searchsorted(machine, machine[after], side="right"))
            after = begun if begun > first else ended
        yield first, after
        first = after


def _check_index(name: str, index: Integers, count: int, *, ordered: bool) -> None:
    if index.size == 0:
        return
    if int(index.min()) < 0 or int(index.max()) >= count:
        raise ValueError(
            f"{name} runs from {index.min()} to {index.max()}; it must stay in "
            f"0 .. {count - 1}"
        )
    if ordered and bool(np.any(np.diff(index) < 0)):
        raise ValueError(f"{name} falls; it must be sorted")
