"""Worked answer: blocks of 24 and 90 kg in a lift, the upper rope holds both."""

import pytest

from inspections.engineering.source import Certainty
from tests.published.lift_forces import car_force_n
from tests.published.printed import About, Printed

# kg, m/s² upwards, printed N.
CASES = [
    (114.0, 3.6, 1527.6),
    (90.0, 3.6, 1206.0),
    (114.0, -3.6, 706.8),
    (90.0, -3.6, 558.0),
]
PRINTED = Printed(
    source="A question and its answer, archive.laminart.com/dudas/6365940",
    status=Certainty.SECOND_HAND,
    about=About.LIFTS,
    computed={"rope force [N]": [printed for *_, printed in CASES]},
)


@pytest.mark.parametrize(("mass_kg", "acceleration_m_s2", "printed_n"), CASES)
def test_matches_the_printed_force(mass_kg, acceleration_m_s2, printed_n):
    assert car_force_n(mass_kg, acceleration_m_s2) == pytest.approx(printed_n, abs=0.05)
