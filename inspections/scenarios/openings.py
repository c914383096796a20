"""What would open a groove window that is empty, tried one thing at a time."""

from collections.abc import Iterator
from dataclasses import replace
from enum import StrEnum
from math import radians

from inspections.engineering.groove_window import Cut, Grid, WindowGiven, find_window
from inspections.engineering.suspension import Suspension
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wrap import WrapAngles
from inspections.scenarios.figures import tried


class ScenarioOpening(StrEnum):
    """What is tried where the window is empty."""

    COMPENSATION = "COMPENSATION"
    HEAVIER_CAR = "HEAVIER_CAR"
    WIDER_WRAP = "WIDER_WRAP"
    ANOTHER_ROPE = "ANOTHER_ROPE"


def openings(given: WindowGiven, grid: Grid) -> Iterator[tuple[ScenarioOpening, Cut]]:
    """Yield what would open an empty window by itself, with the middle it has then.

    A few changes of one kind each, on a coarser grid: an indication of where to look.
    """
    coarse = Grid(
        mouth_angles_deg=grid.mouth_angles_deg[::2],
        undercut_angles_deg=grid.undercut_angles_deg[::2],
        vee_angles_deg=grid.vee_angles_deg[::2],
        cut_depths_mm=grid.cut_depths_mm[::4],
    )
    for name, hung in _others(given.suspension):
        try:
            other = replace(given, suspension=hung, deflector=None)
            found = find_window(given=other, grid=coarse)
        except OutsideValidity:
            continue
        if found.middle is not None:
            yield name, found.middle.cut


def _others(hung: Suspension) -> Iterator[tuple[ScenarioOpening, Suspension]]:
    """Yield the machine with one thing changed; masses stay in kilograms."""
    ropes_kg_m = hung.roping * hung.ropes_kg_per_m
    if hung.compensation_kg_per_m < ropes_kg_m:
        yield (
            ScenarioOpening.COMPENSATION,
            replace(hung, compensation_kg_per_m=ropes_kg_m),
        )
    yield (
        ScenarioOpening.HEAVIER_CAR,
        replace(
            hung,
            car_mass_kg=1.1 * hung.car_mass_kg,
            counterweight_mass_kg=hung.balancing_mass_kg + 0.1 * hung.car_mass_kg,
            balance_ratio=None,
        ),
    )
    widest = tried(
        lambda: WrapAngles(
            angles_rad=tuple(each + radians(15.0) for each in hung.wrap.angles_rad)
        )
    )
    if widest is not None:
        yield ScenarioOpening.WIDER_WRAP, replace(hung, wrap=widest)
    yield ScenarioOpening.ANOTHER_ROPE, replace(hung, rope_count=hung.rope_count + 1)
