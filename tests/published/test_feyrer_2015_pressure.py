"""Pressure and stretch in K. Feyrer, Wire Ropes, 2nd edition 2015.

Confirmed, read in the source: eq. 3.30a (line pressure), eq. 3.31 (greatest
pressure) and Example 2.13 (stretch of a hanging rope of 500 m). The pressure
values are derived from the equations.
"""

from math import cos, pi, radians, sin

import pytest

from inspections.engineering.pressure import (
    arcs_pressure_factor,
    pressure_mpa,
    undercut_pressure_factor,
)
from inspections.engineering.tension import tension_from_feed_n


def equation_3_31(low_rad, high_rad):
    """Greatest pressure over S/(d·D), as printed for one half of the groove."""
    bearing = sin(2 * high_rad) / 4 + high_rad / 2 - sin(2 * low_rad) / 4 - low_rad / 2
    return 2.0 * cos(low_rad) / bearing


@pytest.mark.parametrize("beta", [0, 60, 75, 90, 95, 100, 105])
def test_pressure_over_any_arcs_is_equation_3_31(beta):
    low, high = radians(beta) / 2, pi / 2
    arcs = ((-high, -low), (low, high))

    assert arcs_pressure_factor(arcs_rad=arcs) == pytest.approx(
        equation_3_31(low, high)
    )


@pytest.mark.parametrize(
    ("beta", "expected"),
    [(0, 2.5465), (90, 9.9105), (95, 11.0904), (100, 12.4978), (105, 14.1956)],
)
def test_derived_pressure_factors(beta, expected):
    assert undercut_pressure_factor(undercut_angle_rad=radians(beta)) == pytest.approx(
        expected, abs=6e-5
    )


@pytest.mark.parametrize(("beta", "expected"), [(90, 3.0494), (95, 3.412418)])
def test_derived_pressure_of_five_ropes(beta, expected):
    found = pressure_mpa(
        factor=undercut_pressure_factor(undercut_angle_rad=radians(beta)),
        rope_force_n=12_000 / 5,
        rope_diameter_mm=13.0,
        sheave_diameter_mm=600.0,
    )

    assert found == pytest.approx(expected, abs=5e-5)


# Example 2.13: 2,180 N on 500 m, 87.5 mm², 59,000 N/mm²; printed 0.211 m.
# With 10,000 N more and 71,000 N/mm² printed 0.979 m, recomputed 0.980: the
# book's inputs are rounded.
@pytest.mark.parametrize(
    ("stretch_m", "modulus_mpa", "force_n", "within"),
    [(0.211, 59_000, 2_180, 0.001), (0.979, 71_000, 12_180, 0.002)],
)
def test_example_2_13(stretch_m, modulus_mpa, force_n, within):
    found = tension_from_feed_n(
        feed_mm=1000 * stretch_m,
        free_length_m=500.0,
        rope_stiffness_n=87.5 * modulus_mpa,
    )

    assert found == pytest.approx(force_n, rel=within)
