"""API Spec 9A, Specification for Wire Rope, table C.1: 6x7 with fibre core.

The code's factors of this rope are not printed there; every row must follow from them.
Sizes in inches are left out, and cells that the extract had lost.
"""

import pytest

from inspections.engineering import rope
from inspections.engineering.rope import Construction
from tests.published.printed import About, Printed

# Diameter in mm: kg/100 m, and kN in the grades 1770 and 1960.
ROWS = {
    6: (12.4, 21.2, 23.4),
    7: (16.9, 28.8, 31.9),
    8: (22.1, 37.6, 41.6),
    9: (27.9, 47.6, 52.7),
    10: (34.5, 58.8, 65.1),
    11: (41.7, 71.1, 78.7),
    12: (49.7, 84.6, 93.7),
    13: (58.3, 99.3, None),
    14: (67.6, 115, None),
    16: (88.3, 150, 167),
    18: (112, 190, 211),
    19: (125, 212, 235),
    20: (138, 235, 260),
    22: (167, 284, 315),
    24: (199, 338, 375),
    26: (233, 397, 440),
    28: (270, 461, 510),
    32: (353, 602, 666),
    35: (423, 720, 797),
    36: (447, 762, 843),
    38: (498, 849, 940),
    40: (552, 940, 1040),
}
MASSES = [(size, row[0]) for size, row in ROWS.items()]
FORCES = [
    (size, grade, force)
    for size, (_, *row) in ROWS.items()
    for grade, force in zip((1770, 1960), row, strict=True)
    if force is not None
]
PRINTED = Printed(
    source="API Spec 9A, Specification for Wire Rope, table C.1",
    about=About.LIFTS,
    computed={
        "mass [kg/100 m]": [mass for _, mass in MASSES],
        "breaking force [kN]": [force for *_, force in FORCES],
    },
)


def properties(diameter_mm, grade_mpa=1770.0):
    return rope.properties(
        construction=Construction.SIX_SEVEN_FIBRE,
        rope_diameter_mm=diameter_mm,
        grade_mpa=grade_mpa,
    )


@pytest.mark.parametrize(("diameter_mm", "mass_kg_100m"), MASSES)
def test_matches_mass_to_three_digits(diameter_mm, mass_kg_100m):
    found = 100.0 * properties(diameter_mm).mass_kg_per_m

    assert float(f"{found:.3g}") == mass_kg_100m


@pytest.mark.parametrize(("diameter_mm", "grade_mpa", "force_kn"), FORCES)
def test_matches_breaking_force_to_three_digits(diameter_mm, grade_mpa, force_kn):
    found = properties(diameter_mm, grade_mpa).breaking_force_n / 1000.0

    assert float(f"{found:.3g}") == force_kn
