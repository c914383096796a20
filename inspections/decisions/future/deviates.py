"""Normal deviates by what they are for, and what hangs together.

Dates are not independent: machines of one class share what was learnt of their rate,
places of one machine share its use. One normal deviate for each of these, one for the
place; their weights are thresholds.
"""

from collections.abc import Sequence
from hashlib import sha256
from math import sqrt

import numpy as np

from inspections.decisions.future.knowing import Floats
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.records import Thresholds


class Deviates:
    """Normal deviates that depend on what they are for, and on nothing else."""

    def __init__(self, *, seed: int, draws: int, thresholds: Thresholds) -> None:
        self._seed = seed
        self.draws = draws
        shared = thresholds.value("shared_in_class")
        own = thresholds.value("shared_on_machine")
        self._in_class, self._on_machine = sqrt(shared), sqrt(own)
        self._alone = sqrt(1.0 - shared - own)
        self._classes: dict[tuple[str, int], Floats] = {}

    def stream(self, *path: int) -> np.random.Generator:
        """Return the generator of one purpose; the same path, the same numbers."""
        return np.random.Generator(np.random.PCG64([self._seed, *path]))

    def of_places(
        self,
        *,
        machine_key: int,
        group: EndsTogether,
        segment: int,
        classes: Sequence[str],
        of: int = 0,
    ) -> Floats:
        """Return deviates (places, draws) of one group of one machine.

        of : what they are drawn for, 0 for the wear and 1 for what is read of it; the
            two are independent and hang together in the same way
        """
        first = 10 * of
        on_machine = self.stream(first + 1, machine_key, group).standard_normal(
            self.draws
        )
        alone = self.stream(first + 2, machine_key, group, segment).standard_normal(
            (len(classes), self.draws)
        )
        in_class = np.stack([self._of_class(name, first) for name in classes])
        found: Floats = (
            self._in_class * in_class
            + self._on_machine * on_machine
            + self._alone * alone
        )
        return found

    def uniform(self, number: int) -> Floats:
        """Return uniform draws shared by all machines, such as those of one price."""
        return self.stream(3, number).random(self.draws)

    def _of_class(self, name: str, first: int) -> Floats:
        if (name, first) not in self._classes:
            path = int.from_bytes(sha256(name.encode()).digest()[:8], "big")
            drawn = self.stream(first, path).standard_normal(self.draws)
            self._classes[name, first] = drawn
        return self._classes[name, first]
