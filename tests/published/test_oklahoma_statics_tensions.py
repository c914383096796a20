"""University of Oklahoma statics e-book, section 3.1, example of a lift.

A car of 5000 lb on two cables, 2500 lb each; 1250 lb in the rope of the moving
pulley.

Status: confirmed, read in the source.
"""

import pytest

from inspections.engineering import tensions
from tests.published.lift_forces import PRINTED_GRAVITY_M_S2, car_force_n


@pytest.fixture(autouse=True)
def _printed_gravity(monkeypatch):
    monkeypatch.setattr(tensions, "GRAVITY_M_S2", PRINTED_GRAVITY_M_S2)


def test_moving_pulley_halves_the_force_of_the_cable():
    per_cable_n = car_force_n(2500.0, 0.0)

    in_rope_n = car_force_n(2500.0, 0.0, roping=2)

    assert in_rope_n / per_cable_n == pytest.approx(1250 / 2500)
