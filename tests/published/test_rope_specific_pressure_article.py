"""The limit of specific pressure in EN 81-1:1977 and 1985.

Source: trade-journal article "Rope-Specific Pressure", which quotes both
editions. Status of the formula: confirmed. Status of the values: derived from
it.
"""

import pytest

from inspections.engineering.pressure import pressure_limit_mpa


@pytest.mark.parametrize(
    ("speed_m_s", "expected"),
    [
        (0.5, 9.667),
        (0.63, 9.215),
        (1.0, 8.250),
        (1.6, 7.269231),
        (2.0, 6.833),
        (2.5, 6.429),
        (4.0, 5.700),
    ],
)
def test_limit_falls_with_rope_speed(speed_m_s, expected):
    assert pressure_limit_mpa(rope_speed_m_s=speed_m_s) == pytest.approx(
        expected, abs=6e-4
    )


def test_limit_at_rest_is_the_printed_constant():
    assert pressure_limit_mpa(rope_speed_m_s=1e-9) == pytest.approx(12.5)


def test_limit_at_great_speed_tends_to_the_other_constant():
    assert pressure_limit_mpa(rope_speed_m_s=1e9) == pytest.approx(4.0)
