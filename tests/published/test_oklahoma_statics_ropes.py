"""University of Oklahoma, statics e-book, example 3.1. Status: confirmed.

A car of 5000 lb on two cables is 2500 lb a cable, and 1250 lb in a rope led round a
moving pulley.
"""

import pytest

from inspections.engineering import rope


@pytest.mark.parametrize(("roping", "force_lb"), [(1, 2500), (2, 1250)])
def test_rope_force_is_the_breaking_force_at_factor_one(roping, force_lb):
    factor = rope.actual_factor(
        breaking_force_n=force_lb,
        ropes=2,
        roping_ratio=roping,
        suspended_load_n=5000.0,
    )

    assert factor == pytest.approx(1.0)
