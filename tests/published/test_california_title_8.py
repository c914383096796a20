"""Cal. Code Regs. title 8: 1604.25 (f = S N/W) and 3042. Status: confirmed."""

import pytest

from inspections.engineering import criteria, rope


def test_factor_counts_rope_runs_under_load():
    # Three ropes at 2:1 are six runs.
    found = rope.actual_factor(
        breaking_force_n=60_000.0, ropes=3, roping_ratio=2, suspended_load_n=36_000.0
    )

    assert found == pytest.approx(60_000.0 * 6 / 36_000.0)


def test_least_rope_is_three_eighths_of_an_inch():
    american = criteria.find(code="ASME_A17_1")

    found = criteria.lookup(criteria_set=american, key="rope_diameter_least")

    # 3/8 in is 9.525 mm and is listed as 9.5 mm.
    assert found.value == pytest.approx(9.525, abs=0.03)
