"""Tables of f/μ, worked out from the closed forms and again by quadrature.

The pressure was integrated over the contact arcs apart from this code.
"""

from math import radians

import pytest

from inspections.engineering.traction import (
    limit_ratio,
    undercut_factor_ratio,
    vee_factor_ratio,
)

UNDERCUT = {
    0: (1.2732, 1.2485, 1.2392, 1.2289, 1.2179),
    60: (1.6282, 1.5685, 1.5469, 1.5237, 1.4993),
    75: (1.8057, 1.7236, 1.6946, 1.6637, 1.6316),
    80: (1.8788, 1.7863, 1.7540, 1.7197, 1.6841),
    85: (1.9606, 1.8558, 1.8195, 1.7812, 1.7417),
    90: (2.0525, 1.9329, 1.8920, 1.8490, 1.8049),
    95: (2.1564, 2.0186, 1.9722, 1.9237, 1.8743),
    100: (2.2744, 2.1145, 2.0614, 2.0063, 1.9505),
    105: (2.4094, 2.2218, 2.1607, 2.0977, 2.0344),
    106: (2.4387, 2.2448, 2.1819, 2.1172, 2.0522),
}


@pytest.mark.parametrize("beta", UNDERCUT)
def test_derived_table_of_round_and_undercut_seats(beta):
    found = [
        undercut_factor_ratio(
            undercut_angle_rad=radians(beta), mouth_angle_rad=radians(gamma)
        )
        for gamma in (0, 25, 30, 35, 40)
    ]

    assert found == pytest.approx(UNDERCUT[beta], abs=6e-5)


@pytest.mark.parametrize(
    ("gamma", "expected"),
    [
        (35, 3.3255),
        (36, 3.2361),
        (38, 3.0716),
        (40, 2.9238),
        (42, 2.7904),
        (45, 2.6131),
        (50, 2.3662),
    ],
)
def test_derived_table_of_v_grooves(gamma, expected):
    assert vee_factor_ratio(groove_angle_rad=radians(gamma)) == pytest.approx(
        expected, abs=6e-5
    )


# 95°, mouth 30°, wrap 165°.
def test_limit_of_a_usual_groove_and_wrap():
    factor = undercut_factor_ratio(
        undercut_angle_rad=radians(95), mouth_angle_rad=radians(30)
    )

    found = limit_ratio(exponent=0.1 * factor * radians(165))

    assert found == pytest.approx(1.764665, abs=1e-5)
