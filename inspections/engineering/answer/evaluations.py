"""Margins at places of a box, each worked out once."""

from collections.abc import Callable, Mapping

from inspections.engineering.answer.axis import Axis
from inspections.engineering.validity import OutsideValidity

Place = tuple[float, ...]
# An unknown, and what a margin is at its low and its high end.
Moved = list[tuple[Axis, tuple[float | None, float | None]]]
Margins = Callable[[Mapping[str, float]], Mapping[str, float]]


class Evaluations:
    """The margins of all criteria at places of the box, each worked out once.

    Parameters
    ----------
    axes : what is not known, each in its own unit
    margins : margins of all criteria at one place [units of the limits]

    A place at which the method does not hold has no margins.

    Raises nothing of its own.

    Source: own bookkeeping.

    >>> half = Axis(name="x", low=0.0, typical=0.5, high=1.0)
    >>> seen = Evaluations(axes=(half,), margins=lambda at: {"a": at["x"] - 0.2})
    >>> seen.at(place=(1.0,))["a"], seen.count
    (0.8, 1)
    """

    def __init__(self, *, axes: tuple[Axis, ...], margins: Margins) -> None:
        self.axes = axes
        self._names = tuple(axis.name for axis in axes)
        self.typical: Place = tuple(axis.typical for axis in axes)
        self._margins = margins
        self._seen: dict[Place, Mapping[str, float]] = {}
        self.holds = True
        self._stars: dict[int, tuple[Mapping[str, float], Mapping[str, float]]] = {}
        # Each unknown by its index, and the places at its ends, the others typical.
        self.unknown: tuple[tuple[int, Axis, Place, Place], ...] = tuple(
            (
                index,
                axis,
                _put(self.typical, index, axis.low),
                _put(self.typical, index, axis.high),
            )
            for index, axis in enumerate(axes)
            if not axis.is_known
        )

    @property
    def count(self) -> int:
        """How many places were worked out."""
        return len(self._seen)

    def places(self) -> tuple[Place, ...]:
        """Return every place that was worked out, in the order it was."""
        return tuple(self._seen)

    def named(self, *, place: Place) -> dict[str, float]:
        """Return a place as a value for each unknown [each in its own unit]."""
        return dict(zip(self._names, place, strict=True))

    def at(self, *, place: Place) -> Mapping[str, float]:
        """Return the margins at a place; none where the method does not hold."""
        known = self._seen.get(place)
        if known is None:
            try:
                known = self._margins(self.named(place=place))
            except OutsideValidity:
                known = {}
            self._seen[place] = known
            if not known:
                # The method did not hold at some place that was tried.
                self.holds = False
        return known

    def star(self, index: int, /) -> tuple[Mapping[str, float], Mapping[str, float]]:
        """Return all margins at both ends of an unknown, the others as typical.

        index : of the unknown, among those that are unknown
        """
        found = self._stars.get(index)
        if found is None:
            _, _, low, high = self.unknown[index]
            found = self._stars[index] = self.at(place=low), self.at(place=high)
        return found

    def moves(self, *, criterion: str) -> Moved:
        """Return one margin at both ends of each unknown, the others as typical."""
        found: Moved = []
        for number, (_, axis, _, _) in enumerate(self.unknown):
            low, high = self.star(number)
            found.append((axis, (low.get(criterion), high.get(criterion))))
        return found

    def margin(self, *, place: Place, criterion: str) -> float | None:
        """Return one margin at a place, None where the method does not hold."""
        known = self._seen.get(place)
        if known is None:
            known = self.at(place=place)
        return known.get(criterion)


def _put(place: Place, index: int, value: float) -> Place:
    return (*place[:index], value, *place[index + 1 :])
