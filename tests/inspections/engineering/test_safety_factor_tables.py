"""Safety factors of ropes by EN 81-50:2014, 5.12, worked out apart from this code.

The formula is from memory; no printed value of the standard could be read.
"""

from math import radians

import pytest

from inspections.engineering import rope
from inspections.engineering.rope import Construction

RATIOS = (40, 43, 46, 50, 60)
EQUIVALENTS = (1, 2, 2.5, 3.8, 5, 6, 6.7, 10, 12, 15.2, 18.5, 30)
FACTORS = {
    40: (
        8.08, 10.40, 11.28, 13.14, 14.52, 15.51,
        16.15, 18.68, 19.96, 21.75, 23.36, 27.85,
    ),
    43: (
        7.41, 9.46, 10.23, 11.85, 13.06, 13.92,
        14.47, 16.66, 17.77, 19.31, 20.69, 24.53,
    ),
    46: (
        6.86, 8.70, 9.39, 10.83, 11.90, 12.66,
        13.15, 15.08, 16.05, 17.40, 18.61, 21.95,
    ),
    50: (
        6.28, 7.89, 8.50, 9.76, 10.68, 11.35,
        11.77, 13.43, 14.26, 15.42, 16.45, 19.30,
    ),
    60: (
        5.28, 6.53, 6.99, 7.95, 8.65, 9.14,
        9.46, 10.70, 11.31, 12.16, 12.92, 14.98,
    ),
}  # fmt: skip


@pytest.mark.parametrize("ratio", RATIOS)
def test_factors_by_bends_and_ratio(ratio):
    found = [
        rope.safety_factor_en(equivalent_pulleys=number, diameter_ratio=ratio)
        for number in EQUIVALENTS
    ]

    assert found == pytest.approx(FACTORS[ratio], abs=0.006)


def test_worked_case_with_one_deflector():
    # D_t 520, d 13, undercut 95, deflector 400, one simple bend.
    sheave = rope.sheave_equivalent_undercut(undercut_angle_rad=radians(95))
    numbers = rope.equivalent_pulleys(
        sheave_equivalent=sheave,
        sheave_diameter_mm=520.0,
        pulley_diameters_mm=(400.0,),
    )

    factor = rope.safety_factor_en(
        equivalent_pulleys=numbers.total, diameter_ratio=520.0 / 13.0
    )

    assert numbers.ratio_factor == pytest.approx(2.8561)
    assert numbers.total == pytest.approx(9.5561)
    assert factor == pytest.approx(18.3715, abs=1e-3)


def test_breaking_force_of_13_mm_rope():
    # From the factors of EN 12385: 74.28 kN at grade 1500.
    found = rope.properties(
        construction=Construction.EIGHT_FIBRE, rope_diameter_mm=13.0, grade_mpa=1500.0
    )

    assert found.breaking_force_n / 1000.0 == pytest.approx(74.28, rel=1e-3)
