"""Examination question: 28,000 N lift 2000 kg with 4 m/s², at g = 10 m/s²."""

import pytest

from inspections.engineering.source import Certainty
from tests.published.lift_forces import car_force_n
from tests.published.printed import About, Printed

# kg, m/s² upwards, printed N.
CASES = [(2000.0, 4.0, 28_000.0)]
PRINTED = Printed(
    source="All India Pre-Medical Test 2009, lift of 2000 kg, as quoted on "
    "quantumstudy.com",
    status=Certainty.SECOND_HAND,
    about=About.LIFTS,
    computed={"rope force [N]": [printed for *_, printed in CASES]},
)


@pytest.mark.parametrize(("mass_kg", "acceleration_m_s2", "printed_n"), CASES)
def test_matches_the_printed_force(mass_kg, acceleration_m_s2, printed_n):
    found = car_force_n(mass_kg, acceleration_m_s2, gravity_m_s2=10.0)

    assert found == pytest.approx(printed_n, abs=0.05)
