"""API wire-rope specification, table C.1: 6x7 fibre core. Status: confirmed."""

import pytest

from inspections.engineering import rope
from inspections.engineering.rope import Construction


@pytest.mark.parametrize(
    ("diameter_mm", "mass_kg_100m"), [(10, 34.5), (13, 58.3), (16, 88.3), (22, 167)]
)
def test_matches_mass(diameter_mm, mass_kg_100m):
    found = rope.properties(
        construction=Construction.SIX_SEVEN_FIBRE,
        rope_diameter_mm=diameter_mm,
        grade_mpa=1770.0,
    )

    assert 100.0 * found.mass_kg_per_m == pytest.approx(mass_kg_100m, abs=0.05)


@pytest.mark.parametrize(
    ("diameter_mm", "grade_mpa", "force_kn", "digit"),
    [
        (10, 1770, 58.8, 0.05),
        (10, 1960, 65.1, 0.05),
        (13, 1770, 99.3, 0.05),
        (16, 1770, 150, 0.5),
        (16, 1960, 167, 0.5),
        (22, 1770, 284, 0.5),
        (22, 1960, 315, 0.5),
    ],
)
def test_matches_breaking_force(diameter_mm, grade_mpa, force_kn, digit):
    found = rope.properties(
        construction=Construction.SIX_SEVEN_FIBRE,
        rope_diameter_mm=diameter_mm,
        grade_mpa=grade_mpa,
    )

    assert found.breaking_force_n / 1000.0 == pytest.approx(force_kn, abs=digit)
