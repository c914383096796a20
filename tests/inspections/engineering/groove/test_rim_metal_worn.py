"""Which grooves lose rim metal by wear: by the profile, swept by a rope that sinks.

A route of its own beside ``has_bottom``: the metal's height across the groove is cut
down to the lower half of a rope that sinks, and its lowest point is looked at.
"""

from math import radians

import numpy as np
import pytest

from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.groove.forms import FORMS, KnownForm

ROPE_RADIUS_MM = 6.5
ACROSS_MM = np.linspace(-8.0, 8.0, 16001)
BOTTOMED = (
    VGroove(groove_angle_rad=radians(38), bottom_width_mm=4.0),
    VGroove(groove_angle_rad=radians(38), bottom_width_mm=4.0, slot_depth_mm=3.0),
    UndercutGroove(
        seat_radius_mm=6.5,
        undercut_angle_rad=radians(95),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=3.0,
    ),
    UndercutGroove(
        seat_radius_mm=6.5,
        undercut_angle_rad=radians(60),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=2.0,
    ),
)


def lowest_mm(groove, *, worn_mm: float) -> float:
    """Return the height of the lowest metal once the rope has sunk so far."""
    profile = groove.profile(seat_bottom_mm=20.0, rope_radius_mm=ROPE_RADIUS_MM)
    metal = np.array([profile.height(float(x)) for x in ACROSS_MM])
    under = np.abs(ACROSS_MM) < ROPE_RADIUS_MM
    half = np.sqrt(ROPE_RADIUS_MM**2 - ACROSS_MM[under] ** 2)
    rope = np.full(metal.shape, np.inf)
    rope[under] = profile.seat_centre_mm - worn_mm - half
    return float(np.minimum(metal, rope).min())


def test_every_form_that_has_a_bottom_is_swept():
    assert {type(groove) for groove in BOTTOMED} == {
        FORMS[form] for form in KnownForm if FORMS[form].has_bottom
    }


@pytest.mark.parametrize("groove", BOTTOMED, ids=lambda each: type(each).__name__)
def test_wear_takes_no_metal_from_below_a_bottom_before_the_rope_meets_it(groove):
    bottoming = groove.bottoming_mm(rope_radius_mm=ROPE_RADIUS_MM)
    new = lowest_mm(groove, worn_mm=0.0)

    before, beyond = (
        lowest_mm(groove, worn_mm=bottoming + more) for more in (-0.01, 0.5)
    )

    assert before == new
    assert beyond == pytest.approx(new - 0.5, abs=0.001)


def test_wear_takes_metal_of_a_round_groove_from_the_first_day():
    groove = RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(30))
    new = lowest_mm(groove, worn_mm=0.0)

    assert lowest_mm(groove, worn_mm=0.3) == pytest.approx(new - 0.3, abs=0.001)
    assert groove.bottoming_mm(rope_radius_mm=ROPE_RADIUS_MM) is None
