"""Look for every cut that fulfils every demand, and say why where there is none."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

from inspections.engineering.groove_window.demands import Demand
from inspections.engineering.groove_window.given import WindowGiven
from inspections.engineering.groove_window.grid import Cut, Grid
from inspections.engineering.groove_window.shape_slack import Shape, shape_of
from inspections.engineering.groove_window.size_slack import Size, size_of

# Names of demands that exclude each other are looked for up to so many at once.
_TOGETHER = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedCut:
    """One cut with what it keeps of each demand.

    Parameters
    ----------
    cut : the cut
    slack : by demand, how far it is inside, positive is good: of load cases the margin
        above the one chosen, of others the share of the limit, of the rim [cm]
    pitch_diameter_mm : D after the cut [mm]

    Raises nothing; find_window makes it.

    Source: derived.
    """

    cut: Cut
    slack: Mapping[Demand, float]
    pitch_diameter_mm: float

    @property
    def least(self) -> float:
        """The least slack of all demands [-]; negative is outside."""
        return min(self.slack.values())

    @property
    def holds(self) -> bool:
        """Whether every demand is fulfilled."""
        return self.least >= 0.0

    @property
    def fails(self) -> tuple[Demand, ...]:
        """The demands that are not."""
        return tuple(name for name, slack in self.slack.items() if slack < 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandConflict:
    """Demands that no cut fulfils together though each can be; one that none can.

    Parameters
    ----------
    demands : the fewest that exclude each other
    nearest : the cut that comes nearest to fulfilling them

    Raises nothing; find_window makes it.

    Source: derived.
    """

    demands: tuple[Demand, ...]
    nearest: JudgedCut


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveWindow:
    """Every cut looked at, and what came of it.

    Parameters
    ----------
    judged : all cuts of the grid in its order
    middle : the cut that keeps most of the demand it keeps least of, None where the
        window is empty; of equals the shallowest
    conflicts : what excludes what, where it is empty

    Raises nothing; find_window makes it.

    Source: derived.
    """

    judged: tuple[JudgedCut, ...]
    middle: JudgedCut | None
    conflicts: tuple[DemandConflict, ...]

    @property
    def inside(self) -> tuple[JudgedCut, ...]:
        """The cuts that hold."""
        return tuple(each for each in self.judged if each.holds)


def find_window(*, given: WindowGiven, grid: Grid) -> GrooveWindow:
    """Return every cut of a grid with what it keeps of each demand.

    Parameters
    ----------
    given : the machine and what is demanded
    grid : the cuts to look at

    Friction is worked out once for each form with its angles, what depends on the
    diameter once for each depth: only their few products are made for every cut.

    Validity: as assess_groove; both passes of a double wrap equally deep.

    Raises OutsideValidity where an item of the machine is outside its range.

    Source: EN 81-50:2014 5.11 and 5.12 as the functions used have it.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove_window.grid import usual_grid
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> given = WindowGiven(suspension=EXAMPLE_MACHINE, rules=EN_81_50, margin=0.05,
    ...     deepest_mm=1.0, seat_radius_mm=6.9, bottom_clearance_mm=4.0,
    ...     hardened_depth_mm=5.0, to_depth_mm=2.0)
    >>> found = find_window(given=given, grid=usual_grid())
    >>> len(found.judged)
    2156
    """
    sizes = [size_of(given=given, cut_depth_mm=each) for each in grid.cut_depths_mm]
    judged = tuple(_all(given, grid, sizes))
    inside = [each for each in judged if each.holds]
    if inside:
        middle = max(inside, key=lambda each: (each.least, -each.cut.cut_depth_mm))
        return GrooveWindow(judged=judged, middle=middle, conflicts=())
    return GrooveWindow(judged=judged, middle=None, conflicts=tuple(_conflicts(judged)))


def _all(given: WindowGiven, grid: Grid, sizes: list[Size]) -> Iterator[JudgedCut]:
    for cut in grid.shapes():
        shape = shape_of(given=given, cut=cut)
        for size in sizes:
            yield _judged(
                given, replace(cut, cut_depth_mm=size.cut_depth_mm), shape, size
            )


def _judged(given: WindowGiven, cut: Cut, shape: Shape, size: Size) -> JudgedCut:
    slack: dict[Demand, float] = {Demand.FORM: shape.form}
    if shape.form >= 0.0:
        slack |= size.slack(given=given, shape=shape)
    slack |= size.own
    return JudgedCut(cut=cut, slack=slack, pitch_diameter_mm=size.pitch_diameter_mm)


def _conflicts(judged: tuple[JudgedCut, ...]) -> Iterator[DemandConflict]:
    """Yield the fewest demands that exclude each other, as sets of cuts that hold."""
    names = list(dict.fromkeys(name for each in judged for name in each.slack))
    holds = dict.fromkeys(names, 0)
    for place, each in enumerate(judged):
        for name in names:
            # Where the form is impossible nothing that hangs on it holds either.
            if each.slack.get(name, -1.0) >= 0.0:
                holds[name] |= 1 << place
    for number in range(1, _TOGETHER + 1):
        found = [
            group for group in combinations(names, number) if not _both(holds, group)
        ]
        if found:
            for group in found:
                yield DemandConflict(demands=group, nearest=_nearest(judged, group))
            return
    group = tuple(names)
    yield DemandConflict(demands=group, nearest=_nearest(judged, group))


def _both(holds: Mapping[Demand, int], group: tuple[Demand, ...]) -> int:
    found = -1
    for name in group:
        found &= holds[name]
    return found


def _nearest(judged: tuple[JudgedCut, ...], group: tuple[Demand, ...]) -> JudgedCut:
    return max(
        judged, key=lambda each: min(each.slack.get(name, -9.0) for name in group)
    )
