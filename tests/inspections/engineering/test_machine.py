from dataclasses import replace

import pytest

from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.validity import OutsideValidity


def test_counterweight_follows_from_the_balance():
    assert EXAMPLE_MACHINE.balancing_mass_kg == 1650.0


def test_weighed_counterweight_is_taken_as_it_is():
    weighed = replace(EXAMPLE_MACHINE, balance_ratio=None, counterweight_mass_kg=1623.0)

    assert weighed.balancing_mass_kg == 1623.0


def test_rope_runs_twice_as_far_and_fast_in_two_to_one():
    roped = replace(EXAMPLE_MACHINE, roping=2)

    assert roped.rope_speed_m_s == 3.2
    assert roped.rope_travel_m == 60.0


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("car_mass_kg", 0.0),
        ("rated_load_kg", -1.0),
        ("balance_ratio", 1.2),
        ("balance_ratio", -2.0),
        ("balance_ratio", float("nan")),
        ("roping", 3),
        ("travel_m", 0.0),
        ("rated_speed_m_s", float("inf")),
        ("rope_count", 0),
        ("rope_diameter_mm", -13.0),
        ("rope_mass_kg_per_m", 0.0),
        ("compensation_kg_per_m", -0.1),
        ("travelling_cable_kg_per_m", -0.1),
        ("tension_device_kg", -1.0),
        ("sheave_diameter_mm", 0.0),
    ],
)
def test_value_out_of_range_is_refused_by_name(name, value):
    with pytest.raises(OutsideValidity, match=f"{name} is"):
        replace(EXAMPLE_MACHINE, **{name: value})


def test_counterweight_that_would_be_negative_is_refused():
    with pytest.raises(OutsideValidity, match="counterweight_mass_kg is -5"):
        replace(EXAMPLE_MACHINE, balance_ratio=None, counterweight_mass_kg=-5.0)


@pytest.mark.parametrize(("balance", "weight"), [(None, None), (0.45, 1650.0)])
def test_counterweight_is_known_in_exactly_one_way(balance, weight):
    with pytest.raises(OutsideValidity, match="balance_ratio is nan"):
        replace(EXAMPLE_MACHINE, balance_ratio=balance, counterweight_mass_kg=weight)
