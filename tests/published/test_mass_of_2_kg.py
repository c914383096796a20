"""Worked answer: a rope that holds 2.0 kg in a lift."""

import pytest

from inspections.engineering.source import Certainty
from tests.published.lift_forces import car_force_n
from tests.published.printed import About, Printed

# kg, m/s² upwards, printed N.
CASES = [(2.0, 1.5, 22.6), (2.0, -1.5, 16.6)]
PRINTED = Printed(
    source="OpenStax, College Physics for AP Courses, a mass of 2.0 kg in a lift, "
    "as solved on collegephysicsanswers.com",
    status=Certainty.SECOND_HAND,
    about=About.LIFTS,
    computed={"rope force [N]": [printed for *_, printed in CASES]},
)


@pytest.mark.parametrize(("mass_kg", "acceleration_m_s2", "printed_n"), CASES)
def test_matches_the_printed_force(mass_kg, acceleration_m_s2, printed_n):
    assert car_force_n(mass_kg, acceleration_m_s2) == pytest.approx(printed_n, abs=0.05)
