"""Worked answer on a lift of 500 kg, g = 9.8 m/s² (public page 1461601).

4900 N at rest, 5900 N at 2 m/s² upwards, 3900 N at 2 m/s² downwards.

Status: confirmed, read in the source.
"""

import pytest

from inspections.engineering import tensions
from tests.published.lift_forces import PRINTED_GRAVITY_M_S2, car_force_n


@pytest.fixture(autouse=True)
def _printed_gravity(monkeypatch):
    monkeypatch.setattr(tensions, "GRAVITY_M_S2", PRINTED_GRAVITY_M_S2)


@pytest.mark.parametrize(
    ("acceleration_m_s2", "printed_n"), [(0.0, 4900.0), (2.0, 5900.0), (-2.0, 3900.0)]
)
def test_matches_the_printed_force(acceleration_m_s2, printed_n):
    assert car_force_n(500.0, acceleration_m_s2) == pytest.approx(printed_n)
