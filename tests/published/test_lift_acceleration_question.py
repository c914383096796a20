"""Examination question: a rope that pulls twice as hard going up as going down.

The lift's acceleration is g/3.

Status: confirmed, read in the source.
"""

import pytest

from inspections.engineering import tensions
from tests.published.lift_forces import PRINTED_GRAVITY_M_S2, car_force_n


@pytest.fixture(autouse=True)
def _printed_gravity(monkeypatch):
    monkeypatch.setattr(tensions, "GRAVITY_M_S2", PRINTED_GRAVITY_M_S2)


def test_a_third_of_gravity_doubles_the_pull():
    a = 9.8 / 3

    assert car_force_n(800.0, a) == pytest.approx(2.0 * car_force_n(800.0, -a))
