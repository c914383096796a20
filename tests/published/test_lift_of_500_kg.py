"""Worked answer: the cable of a lift of 500 kg at rest, speeding up and slowing."""

import pytest

from inspections.engineering.source import Certainty
from tests.published.lift_forces import car_force_n
from tests.published.printed import About, Printed

# kg, m/s² upwards, printed N.
CASES = [(500.0, 0.0, 4900.0), (500.0, 2.0, 5900.0), (500.0, -2.0, 3900.0)]
PRINTED = Printed(
    source="A question and its answer, sarthaks.com/1461601",
    status=Certainty.SECOND_HAND,
    about=About.LIFTS,
    computed={"rope force [N]": [printed for *_, printed in CASES]},
)


@pytest.mark.parametrize(("mass_kg", "acceleration_m_s2", "printed_n"), CASES)
def test_matches_the_printed_force(mass_kg, acceleration_m_s2, printed_n):
    assert car_force_n(mass_kg, acceleration_m_s2) == pytest.approx(printed_n, abs=0.05)
