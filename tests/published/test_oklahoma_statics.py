"""The lift of a statics e-book: 5000 lb on two cables, each round a moving pulley."""

import pytest

from tests.published.lift_forces import car_force_n
from tests.published.printed import About, Printed

# Roping, printed lb in one rope.
CASES = [(1, 2500), (2, 1250)]
PRINTED = Printed(
    source="University of Oklahoma, statics e-book (ecourses.ou.edu), example of 3.1",
    about=About.LIFTS,
    computed={"rope force [lb]": [printed for _, printed in CASES]},
)


@pytest.mark.parametrize(("roping", "printed_lb"), CASES)
def test_matches_the_printed_force(roping, printed_lb):
    force_lb = car_force_n(5000.0, 0.0, roping=roping, gravity_m_s2=1.0)

    assert force_lb / 2 == pytest.approx(printed_lb)
