"""Worked answer: two blocks of 13 kg on ropes in a lift, the upper rope holds both."""

import pytest

from inspections.engineering.source import Certainty
from tests.published.lift_forces import car_force_n
from tests.published.printed import About, Printed

# kg, m/s² upwards, printed N.
CASES = [(13.0, 1.6, 148.2), (26.0, 1.6, 296.4)]
PRINTED = Printed(
    source="A question and its answer, homeworksource.com/p/1019781",
    status=Certainty.SECOND_HAND,
    about=About.LIFTS,
    computed={"rope force [N]": [printed for *_, printed in CASES]},
)


@pytest.mark.parametrize(("mass_kg", "acceleration_m_s2", "printed_n"), CASES)
def test_matches_the_printed_force(mass_kg, acceleration_m_s2, printed_n):
    assert car_force_n(mass_kg, acceleration_m_s2) == pytest.approx(printed_n, abs=0.05)
