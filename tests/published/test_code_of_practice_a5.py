"""A code of practice for lifts, A5 (believed to be the ILO's). Status: confirmed text.

At least two ropes, sheave and pulleys at least 40 rope diameters, safety factor 12 with
three or more ropes; the factor is the number of ropes times the breaking load over the
whole suspended static load.
"""

import pytest

from inspections.engineering import criteria, rope

EUROPE = criteria.find(code="EN_81_20")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("ropes_least", 2),
        ("diameter_ratio_least", 40),
        ("safety_factor_three_ropes", 12),
    ],
)
def test_matches_a5(key, value):
    assert criteria.lookup(criteria_set=EUROPE, key=key).value == value


def test_factor_is_ropes_times_breaking_load_over_suspended_load():
    found = rope.actual_factor(
        breaking_force_n=50_000.0, ropes=6, roping_ratio=1, suspended_load_n=25_000.0
    )

    assert found == pytest.approx(6 * 50_000.0 / 25_000.0)
