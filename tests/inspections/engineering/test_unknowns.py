from math import radians
from random import Random

import pytest

from inspections.engineering import unknowns
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from tests.histories import machines


def test_every_unknown_has_a_range_a_unit_and_a_source():
    for each in unknowns.ALL:
        assert each.low < each.high or each.note, each.name
        assert each.low <= each.typical <= each.high, each.name
        assert each.unit, each.name
        assert each.source.certainty in Certainty, each.name


def test_names_are_given_once():
    names = [each.name for each in unknowns.ALL]

    assert len(set(names)) == len(names)


def test_part_of_a_value_is_scaled_by_it():
    axis = unknowns.axis_of(
        unknown=unknowns.find(name="unworn_diameter_mm"), of_value=13.0
    )

    assert (axis.low, axis.high) == pytest.approx((13.0, 13.65))


def test_part_of_a_value_that_is_not_given_is_refused():
    with pytest.raises(OutsideValidity, match="rated_load_kg"):
        unknowns.axis_of(unknown=unknowns.find(name="car_mass_kg"))


def test_value_taken_away_stays_as_one_end():
    row = unknowns.find(name="mouth_angle_rad")

    assert unknowns.axis_of(unknown=row, once_said=0.0).low == 0.0
    assert unknowns.axis_of(unknown=row, once_said=1.2).high == 1.2
    assert unknowns.axis_of(unknown=row, once_said=row.typical).low == row.low


def test_car_and_balance_are_settled_together_a_weighed_counterweight_alone():
    car = unknowns.find(name="car_mass_kg")
    balance = unknowns.find(name="balance_ratio")
    weighed = unknowns.find(name="counterweight_mass_kg")

    assert car.group == balance.group != ""
    assert weighed.group == ""


# By the register's name: the row, what it is a part of, and its unit in the register.
OF_REGISTER = {
    "balance_ratio": ("balance_ratio", "", 1.0),
    "travel_m": ("travel_m", "", 1.0),
    "rated_speed_m_s": ("rated_speed_m_s", "", 1.0),
    "travelling_cable_mass_kg_m": ("travelling_cable_kg_per_m", "", 1.0),
    "undercut_angle_deg": ("undercut_angle_rad", "", radians(1.0)),
    "flat_bottom_width_mm": ("bottom_width_mm", "diameter", 1.0),
    "bottom_clearance_new_mm": ("bottom_clearance_mm", "diameter", 1.0),
    "seat_radius_mm": ("seat_radius_mm", "diameter", 1.0),
}


@pytest.mark.parametrize("seed", range(40))
def test_what_is_not_known_may_be_whatever_machines_have(seed):
    """Or a machine of which less is known holds where the same one may not."""
    sort, entry = machines.draw(Random(seed), ill=True)
    geometry = entry["sheaves"][0]["geometries"][0]

    car = unknowns.axis_of(
        unknown=unknowns.find(name="car_mass_kg"), of_value=entry["rated_load_kg"]
    )
    # A light car is the bad end: in every load case the ropes slip sooner.
    assert car.low <= entry["car_mass_kg"]
    for name, (row, of, unit) in OF_REGISTER.items():
        value = {**entry, **geometry}.get(name)
        if value is None:
            continue
        axis = unknowns.axis_of(
            unknown=unknowns.find(name=row),
            of_value=sort.diameter_mm if of else None,
        )
        assert axis.low <= value * unit <= axis.high, name
