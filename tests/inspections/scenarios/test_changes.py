"""What can be tried is a closed list, each thing with its range."""

import math

import pytest

from inspections import scenarios
from inspections.scenarios.items import ITEMS
from inspections.scenarios.problems import NotTried


@pytest.mark.parametrize("item", ITEMS.values(), ids=lambda item: item.name)
def test_what_lies_outside_its_range_is_refused_with_the_range(item):
    wrong = ["else"] if item.words else [item.low - 1.0, item.high + 1.0]
    wrong += [math.nan, math.inf, True, None, [], {}, 10**400, ""]

    for value in wrong:
        with pytest.raises(NotTried) as refused:
            scenarios.read({item.name: value})

        said = item.words or (f"{item.low:g}", f"{item.high:g}")
        assert all(word in refused.value.detail for word in said)
        assert refused.value.pointer == f"/changes/{item.name}"


@pytest.mark.parametrize("item", ITEMS.values(), ids=lambda item: item.name)
def test_both_ends_of_a_range_are_taken(item):
    for value in item.words or (item.low, item.high):
        assert scenarios.read({item.name: value}).get(item.name) == value


def test_what_is_not_on_the_list_is_refused_with_the_list():
    with pytest.raises(NotTried, match="undercut_angle_deg"):
        scenarios.read({"colour": 1.0})


def test_a_thing_is_changed_once():
    with pytest.raises(NotTried, match="twice"):
        scenarios.read([("car_mass_kg", 900.0), ("car_mass_kg", 950.0)])


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"balance_ratio": 0.5}, {"counterweight_mass_kg": 1500.0}),
        ({"wrap_angle_deg": 170.0}, {"deflector_offset_x_mm": 300.0}),
        ({"cut_depth_mm": 2.0}, {"sheave_diameter_mm": 500.0}),
        ({"flat_bottom_width_mm": 5.0}, {"slot_width_mm": 5.0}),
    ],
)
def test_two_ways_to_say_one_thing_are_refused_together(one, other):
    with pytest.raises(NotTried, match="give one of them"):
        scenarios.read(one | other)


def test_the_order_of_typing_is_no_part_of_it():
    typed = [("rope_diameter_mm", 12.0), ("groove_form", "V"), ("car_mass_kg", 900.0)]

    assert scenarios.read(typed) == scenarios.read(reversed(typed))


def test_a_whole_number_stays_whole():
    assert scenarios.read({"ropes_count": 4.0}).get("ropes_count") == 4

    with pytest.raises(NotTried, match="whole"):
        scenarios.read({"ropes_count": 4.5})
