"""Findings name the readings of the masses that they were judged with."""

from dataclasses import replace

import pytest

from inspections.assessment.assessing import judge
from inspections.inputs import Snapshot
from inspections.models import Grade
from tests.inspections.assessment.snapshots import (
    BEFORE,
    V,
    found,
    one,
    snapshot,
    take,
)
from tests.inspections.assessment.test_disagreeing import bands, first_limit_mm

# By the register each case closes; with so little balance one does not.
MACHINE = {"wrap_angle_deg": 130.0}
LITTLE = 0.1
AT = "groove 1"


def machine(*more, **changed) -> Snapshot:
    return snapshot(*bands(1.5), *more, machine=MACHINE | changed, geometry=V)


def ids(of: Snapshot, kind: str) -> set[int]:
    return {each.pk for each in of.readings if each.kind == kind}


def beyond(of: Snapshot):
    return [
        each
        for each in judge(of)[0]
        if str(each.topic).startswith("traction") and each.stops_service
    ]


def test_a_stop_by_a_mass_that_was_read_names_the_reading():
    of = machine(take("balance_load", LITTLE))

    assert not beyond(machine())
    assert beyond(of)
    for each in beyond(of):
        assert ids(of, "balance_load") < set(each.readings)
        assert ids(of, "seat_band_width") & set(each.readings)


def test_a_finding_by_the_register_names_no_reading_that_is_better():
    of = machine(take("balance_load", 0.45), balance_ratio=LITTLE)

    assert beyond(of)
    for each in beyond(of):
        assert not ids(of, "balance_load") & set(each.readings)


def test_what_no_mass_changes_names_none():
    of = machine(take("balance_load", LITTLE), take("car_mass", 1500.0))

    [depths] = found(of, "seat depths in the set")
    masses = ids(of, "balance_load") | ids(of, "car_mass")
    assert not masses & set(depths.readings)


def test_what_rests_on_a_mass_that_nobody_confirmed_is_marked_so():
    doubted = machine(take("balance_load", LITTLE, state="UNCONFIRMED"))
    confirmed = machine(
        take("balance_load", LITTLE, state="UNCONFIRMED", accepted=True)
    )

    assert all(each.unconfirmed for each in beyond(doubted))
    assert not any(each.unconfirmed for each in beyond(confirmed))


def test_safety_factor_and_pressure_name_the_heavier_car():
    of = machine(take("car_mass", 1500.0))

    for topic in ("rope safety factor", "groove pressure"):
        [each] = found(of, topic)
        assert ids(of, "car_mass") <= set(each.readings)


def test_a_lighter_car_is_named_by_nothing_that_only_weight_makes_worse():
    of = machine(take("car_mass", 900.0))

    for topic in ("rope safety factor", "groove pressure"):
        [each] = found(of, topic)
        assert not ids(of, "car_mass") & set(each.readings)


def test_a_car_weighed_and_not_registered_is_named():
    of = machine(take("car_mass", 1200.0), car_mass_kg=None)

    assert ids(of, "car_mass") < set(one(of, "traction", AT).readings)


def test_a_wrap_as_measured_is_named_by_both_its_readings():
    pulley = {
        "kind": "DEFLECTOR",
        "diameter_mm": 400.0,
        "offset_x_mm": 500.0,
        "drop_h_mm": 900.0,
        "bend": "SIMPLE",
    }

    def turned(*read):
        return snapshot(*bands(3.5), *read, geometry=V, pulleys=(pulley,))

    of = turned(take("wrap_offset_x", 1500.0), take("wrap_drop_h", 500.0))

    assert not beyond(turned())
    wraps = ids(of, "wrap_offset_x") | ids(of, "wrap_drop_h")
    assert beyond(of)
    assert all(wraps < set(each.readings) for each in beyond(of))


# --- what later readings settle -------------------------------------------------------


def test_a_doubted_reading_takes_nothing_away_that_an_earlier_one_fails_by():
    bad = take("balance_load", LITTLE, on=BEFORE)

    settled = machine(bad, take("balance_load", 0.45))
    doubted = machine(bad, take("balance_load", 0.45, state="UNCONFIRMED"))

    assert not beyond(settled)
    assert beyond(doubted)
    assert first_limit_mm(doubted) == first_limit_mm(machine(bad))


def test_nobody_takes_away_what_another_read_at_the_same_visit():
    read = (take("balance_load", LITTLE), take("balance_load", 0.45))

    assert beyond(machine(*read))
    assert beyond(machine(*reversed(read)))


def test_of_two_cars_read_at_one_visit_the_heavier_is_carried():
    read = (take("car_mass", 1500.0), take("car_mass", 1300.0))

    [each] = found(machine(*read), "rope safety factor")

    assert each.detail["car_mass_kg"] == 1500.0


def test_two_cars_weighed_and_none_registered_are_told_apart():
    of = machine(take("car_mass", 1500.0), take("car_mass", 1300.0), car_mass_kg=None)

    [each] = found(of, "register against readings")
    assert "neither of them registered" in str(each.reason)


def test_a_mass_of_each_reading_is_judged_with_and_told():
    of = machine(take("balance_load", LITTLE), take("balance_load", 0.3))

    told = found(of, "register against readings")
    assert len(told) == 2
    assert {pk for each in told for pk in each.readings} == ids(of, "balance_load")


# --- what the register said before ----------------------------------------------------


@pytest.mark.parametrize(
    ("column", "kind", "read", "said"),
    [
        ("balance_ratio", "balance_load", 0.45, LITTLE),
        ("car_mass_kg", "car_mass", 1200.0, 400.0),
    ],
)
def test_what_was_read_reaches_to_what_the_register_said_once(column, kind, read, said):
    weighed = machine(take(kind, read), **{column: None})
    emptied = replace(weighed, once_said={column: said})

    assert one(weighed, "traction", AT).answer == "WITHIN"
    assert {each.answer for each in found(emptied, "traction")} == {"OPEN"}


def test_a_counterweight_that_the_register_said_once_counts_beside_a_balance():
    weighed = machine(take("balance_load", 0.45), balance_ratio=None)
    emptied = replace(weighed, once_said={"counterweight_mass_kg": 1250.0})

    ends = [found(each, "traction")[0].over.worst for each in (weighed, emptied)]
    assert ends[1] < ends[0]


# --- what is said of it ---------------------------------------------------------------


def test_what_a_reading_decides_says_which_numbers_disagree_and_which_was_used():
    of = machine(take("balance_load", LITTLE))

    for each in beyond(of):
        said = str(each.reason)
        assert "balance 10 % read, 45 % registered" in said
        assert said.endswith("until it is entered which is right")


def test_what_the_register_decides_or_is_in_order_says_nothing_of_it():
    of = machine(take("balance_load", 0.35))

    assert one(of, "traction", AT).grade == Grade.IN_ORDER
    for each in found(of, "traction") + beyond(
        machine(take("balance_load", 0.45), balance_ratio=LITTLE)
    ):
        assert "registered" not in str(each.reason)
