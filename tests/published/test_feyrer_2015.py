"""K. Feyrer, Wire Ropes: Tension, Endurance, Reliability, 2nd ed., read in a copy."""

from math import radians

import pytest

from inspections.engineering import rope
from inspections.engineering.rope import Construction, Edition
from inspections.engineering.tension import tension_from_feed_n
from tests.published.printed import About, Printed

# Table 1.9: breaking force, mass, area.
FACTORS = {
    Construction.SIX_FIBRE: (0.330, 0.359, 0.384),
    Construction.EIGHT_FIBRE: (0.293, 0.340, 0.349),
    Construction.SIX_STEEL: (0.356, 0.400, 0.449),
    Construction.EIGHT_STEEL: (0.356, 0.407, 0.457),
}
# Table 3.15: life in undercut and V grooves, and by the radius of the seat.
UNDERCUT = {75: 0.40, 80: 0.33, 85: 0.26, 90: 0.20, 95: 0.15, 100: 0.10, 105: 0.066}
VEE = {35: 0.054, 36: 0.066, 38: 0.095, 40: 0.14, 42: 0.18, 45: 0.25}
SEAT = {0.53: 1.0, 0.55: 0.79, 0.60: 0.66, 0.70: 0.54, 0.80: 0.51, 1.0: 0.48}
# Example 3.12: five ropes of 150 m, 16 mm, 8x19 with fibre core.
MASS_KG = 653
# Example 2.13: 500 m, 87.5 mm²; N/mm², N, printed m, and how far it is off its inputs.
STRETCHES = [(59_000, 2_180, 0.211, 0.001), (71_000, 12_180, 0.979, 0.0015)]

PRINTED = Printed(
    source="K. Feyrer, Wire Ropes, 2nd ed., 2015, tables 1.9 and 3.15, "
    "examples 2.13 and 3.12",
    about=About.LIFTS,
    computed={
        "mass [kg]": [MASS_KG],
        "stretch [m]": [stretch for _, _, stretch, _ in STRETCHES],
    },
    transcribed={
        "factor of table 1.9": [each for row in FACTORS.values() for each in row],
        "factor of table 3.15": [*UNDERCUT.values(), *VEE.values(), *SEAT.values()],
    },
)


@pytest.mark.parametrize("construction", FACTORS)
def test_factors_of_table_1_9(construction):
    force, mass, area = FACTORS[construction]

    found = rope.properties(
        construction=construction, rope_diameter_mm=10.0, grade_mpa=1000.0
    )

    assert found.breaking_force_n == pytest.approx(force * 100_000.0)
    assert found.mass_kg_per_m == pytest.approx(mass)
    assert found.area_mm2 == pytest.approx(area * 100.0)


def test_rope_mass_of_example_3_12():
    found = rope.properties(
        construction=Construction.EIGHT_FIBRE, rope_diameter_mm=16.0, grade_mpa=1570.0
    )

    assert round(5 * 150 * found.mass_kg_per_m) == MASS_KG


@pytest.mark.parametrize(("modulus_mpa", "force_n", "printed_m", "off"), STRETCHES)
def test_stretch_of_example_2_13(modulus_mpa, force_n, printed_m, off):
    force_of_a_millimetre_n = tension_from_feed_n(
        feed_mm=1.0, free_length_m=500.0, rope_stiffness_n=87.5 * modulus_mpa
    )

    assert force_n / force_of_a_millimetre_n / 1000 == pytest.approx(printed_m, rel=off)


@pytest.mark.parametrize(("angle_deg", "factor"), UNDERCUT.items())
def test_undercuts_count_as_the_reciprocal_of_their_life(angle_deg, factor):
    found = rope.sheave_equivalent_undercut(undercut_angle_rad=radians(angle_deg))

    assert found == pytest.approx(round(1.0 / factor, 1))


@pytest.mark.parametrize(("angle_deg", "factor"), VEE.items())
def test_v_grooves_of_1998_count_as_the_reciprocal_of_their_life(angle_deg, factor):
    found = rope.sheave_equivalent_v(
        groove_angle_rad=radians(angle_deg), edition=Edition.EN_81_1_1998
    )

    assert found == pytest.approx(round(1.0 / factor, 1))


@pytest.mark.parametrize(("ratio", "factor"), SEAT.items())
def test_life_by_the_radius_of_the_seat(ratio, factor):
    found = rope.seat_radius_endurance_ratio(seat_radius_ratio=ratio)

    assert found == pytest.approx(factor)
