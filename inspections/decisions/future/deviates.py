"""Normal deviates by what they are for, and what hangs together.

Dates are not independent: machines of one class share what was learnt of their rate,
places of one machine, ropes and grooves alike, share its use. One normal deviate for
each of these, one for the place; their weights are thresholds, or what a fleet showed.
"""

from collections.abc import Sequence
from hashlib import sha256

import numpy as np

from inspections.decisions.future.knowing import Floats
from inspections.decisions.future.taken import taken
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.records import ClassTaken, Learnt, Thresholds

_KEPT = 256
"""Machines' deviates kept, two a machine; bounds the memory, not the result."""


class Deviates:
    """Normal deviates that depend on what they are for, and on nothing else."""

    def __init__(
        self,
        *,
        seed: int,
        draws: int,
        thresholds: Thresholds,
        learnt: Learnt | None = None,
    ) -> None:
        self._seed, self._thresholds = seed, thresholds
        self.draws, self.learnt = draws, learnt or Learnt()
        self._taken: dict[str, ClassTaken] = {}
        self._machines: dict[tuple[int, int], Floats] = {}
        self._classes: dict[tuple[str, int], Floats] = {}

    def stream(self, *path: int) -> np.random.Generator:
        """Return the generator of one purpose; the same path, the same numbers."""
        return np.random.Generator(np.random.PCG64([self._seed, *path]))

    def taken(self, name: str) -> ClassTaken:
        """Return the spread and correlations that a class is followed with."""
        if name not in self._taken:
            self._taken[name] = taken(
                name=name, learnt=self.learnt, thresholds=self._thresholds
            )
        return self._taken[name]

    def used(self) -> tuple[ClassTaken, ...]:
        """Return those of the classes that were drawn so far, by name."""
        return tuple(self._taken[name] for name in sorted(self._taken))

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
        on_machine = self._of_machine(machine_key, first)
        alone = self.stream(first + 2, machine_key, group, segment).standard_normal(
            (len(classes), self.draws)
        )
        # Places of one class, the usual case, share all but what is their own.
        names = list(dict.fromkeys(classes))
        of_name = [names.index(name) for name in classes]
        shares = [self.taken(name) for name in names]
        by_class = np.array([each.in_class for each in shares])[:, None]
        by_machine = np.array([each.on_machine for each in shares])[:, None]
        in_class = np.stack([self._of_class(name, first) for name in names])
        shared = np.sqrt(by_class) * in_class + np.sqrt(by_machine) * on_machine
        own = np.sqrt(1.0 - by_class - by_machine)
        if len(names) > 1:
            shared, own = shared[of_name], own[of_name]
        found: Floats = shared + own * alone
        return found

    def of_unknown(self, *, machine_key: int) -> Floats:
        """Return deviates (draws,) of what could be measured on one machine."""
        return self.stream(20, machine_key).standard_normal(self.draws)

    def uniform(self, number: int) -> Floats:
        """Return uniform draws shared by all machines, such as those of one price."""
        return self.stream(3, number).random(self.draws)

    def _of_machine(self, key: int, first: int) -> Floats:
        if (key, first) not in self._machines:
            if len(self._machines) >= _KEPT:
                self._machines.clear()
            drawn = self.stream(first + 1, key).standard_normal(self.draws)
            self._machines[key, first] = drawn
        return self._machines[key, first]

    def _of_class(self, name: str, first: int) -> Floats:
        if (name, first) not in self._classes:
            path = int.from_bytes(sha256(name.encode()).digest()[:8], "big")
            drawn = self.stream(first, path).standard_normal(self.draws)
            self._classes[name, first] = drawn
        return self._classes[name, first]
