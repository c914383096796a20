"""34 Pa. Code 7.56 (passenger) and 7.280 (freight).

That the columns equal ASME A17.1 table 2.20.3 is from memory.
"""

import pytest

from inspections.engineering import criteria, rope
from inspections.engineering.rope import Service
from tests.published.printed import Printed

_M_S = 0.3048 / 60.0

PASSENGER = {
    50: 7.60, 100: 7.95, 150: 8.25, 200: 8.60, 250: 8.90, 300: 9.20, 350: 9.50,
    400: 9.75, 450: 10.00, 500: 10.25, 600: 10.70, 700: 11.00, 800: 11.25,
    900: 11.45, 1000: 11.55, 1200: 11.80, 1400: 11.90, 1500: 11.90,
}  # fmt: skip
FREIGHT = {
    50: 6.65, 100: 7.00, 150: 7.30, 200: 7.65, 250: 7.90, 300: 8.20, 350: 8.45,
    400: 8.70, 450: 8.90, 500: 9.15, 600: 9.50, 700: 9.80, 800: 10.00,
    900: 10.15, 1000: 10.30, 1200: 10.50, 1400: 10.55, 1500: 10.55,
}  # fmt: skip
LEAST = [("ropes_least", 3.0), ("diameter_ratio_least", 40.0)]
PRINTED = Printed(
    source="34 Pa. Code, 7.56 and 7.280",
    transcribed={
        "safety factor": [*PASSENGER.values(), *FREIGHT.values()],
        "limit": [value for _, value in LEAST],
    },
)


@pytest.mark.parametrize(("speed_ft_min", "factor"), PASSENGER.items())
def test_matches_passenger_factor(speed_ft_min, factor):
    found = rope.required_a17(rope_speed_m_s=speed_ft_min * _M_S)

    assert found.required == pytest.approx(factor)


@pytest.mark.parametrize(("speed_ft_min", "factor"), FREIGHT.items())
def test_matches_freight_factor(speed_ft_min, factor):
    found = rope.required_a17(
        rope_speed_m_s=speed_ft_min * _M_S, service=Service.FREIGHT
    )

    assert found.required == pytest.approx(factor)


@pytest.mark.parametrize(("key", "value"), LEAST)
def test_matches_least_of_the_machine(key, value):
    american = criteria.find(code="ASME_A17_1")

    assert criteria.lookup(criteria_set=american, key=key).value == value
