"""Worked answer: a box of 50 kg on a rope."""

import pytest

from inspections.engineering.source import Certainty
from tests.published.lift_forces import car_force_n
from tests.published.printed import About, Printed

# kg, m/s² upwards, printed N.
CASES = [(50.0, 0.0, 490.0), (50.0, 5.0, 740.0), (50.0, -5.0, 240.0)]
PRINTED = Printed(
    source="R. D. Knight, Physics for Scientists and Engineers, 4th ed., problem 6.11, "
    "as solved on gradesaver.com",
    status=Certainty.SECOND_HAND,
    about=About.LIFTS,
    computed={"rope force [N]": [printed for *_, printed in CASES]},
)


@pytest.mark.parametrize(("mass_kg", "acceleration_m_s2", "printed_n"), CASES)
def test_matches_the_printed_force(mass_kg, acceleration_m_s2, printed_n):
    assert car_force_n(mass_kg, acceleration_m_s2) == pytest.approx(printed_n, abs=0.05)
