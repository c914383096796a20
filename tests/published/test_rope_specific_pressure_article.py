"""The limit of specific pressure in EN 81-1:1977 and 1985, as an article quotes it."""

import pytest

from inspections.engineering.pressure import pressure_limit_mpa
from inspections.engineering.source import Certainty
from tests.published.printed import Printed

AT_REST_MPA, AT_GREAT_SPEED_MPA = 12.5, 4.0
PRINTED = Printed(
    source='EN 81-1:1977 and 1985, as "Rope-Specific Pressure", Elevator World, '
    "quotes it",
    status=Certainty.SECOND_HAND,
    transcribed={"constant [N/mm²]": [AT_REST_MPA, AT_GREAT_SPEED_MPA]},
)


def test_limit_at_rest_is_the_printed_constant():
    assert pressure_limit_mpa(rope_speed_m_s=1e-9) == pytest.approx(AT_REST_MPA)


def test_limit_at_great_speed_tends_to_the_other_constant():
    assert pressure_limit_mpa(rope_speed_m_s=1e9) == pytest.approx(AT_GREAT_SPEED_MPA)


def test_the_limit_stands_half_way_between_them_at_one_metre_per_second():
    half_way_mpa = (AT_REST_MPA + AT_GREAT_SPEED_MPA) / 2

    assert pressure_limit_mpa(rope_speed_m_s=1.0) == pytest.approx(half_way_mpa)
