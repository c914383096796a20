"""What is said to open an empty window does: tried by itself, a cut holds."""

from dataclasses import replace

from inspections.engineering.groove_window import find_window
from inspections.scenarios import openings
from inspections.scenarios.openings import ScenarioOpening
from tests.inspections.engineering.test_groove_window import (
    GIVEN,
    GRID,
    HUNG,
    holds_by_force,
)

# Ropes of 90 m move to the other side: a light car needs a steep groove to be braked,
# and in so steep a one a landed counterweight does not slip.
EMPTY = replace(
    GIVEN,
    suspension=replace(HUNG, car_mass_kg=800.0, rated_load_kg=800.0, travel_m=90.0),
    margin=0.0,
)


def test_what_opens_an_empty_window_holds_when_it_is_tried():
    found = dict(openings.openings(EMPTY, GRID))

    assert find_window(given=EMPTY, grid=GRID).middle is None
    assert ScenarioOpening.COMPENSATION in found
    for name, cut in found.items():
        hung = dict(openings._others(EMPTY.suspension))[name]
        assert holds_by_force(replace(EMPTY, suspension=hung), cut)
    # Without the change the same cut does not.
    assert not holds_by_force(EMPTY, found[ScenarioOpening.COMPENSATION])
