"""Worked answer on two blocks of 13 kg in a lift at 1.6 m/s², g = 9.8 m/s².

148.2 N in the lower rope, 296.4 N in the upper.

Status: confirmed, read in the source.
"""

import pytest

from inspections.engineering import tensions
from tests.published.lift_forces import PRINTED_GRAVITY_M_S2, car_force_n


@pytest.fixture(autouse=True)
def _printed_gravity(monkeypatch):
    monkeypatch.setattr(tensions, "GRAVITY_M_S2", PRINTED_GRAVITY_M_S2)


@pytest.mark.parametrize(("mass_kg", "printed_n"), [(13.0, 148.2), (26.0, 296.4)])
def test_matches_the_printed_force(mass_kg, printed_n):
    assert car_force_n(mass_kg, 1.6) == pytest.approx(printed_n)
