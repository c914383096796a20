"""Limits that are worked out are ranges: what is assumed makes the near end nearer."""

import pytest

from inspections.assessment.assessing import judge
from inspections.engineering import criteria
from tests.inspections.assessment.snapshots import (
    UNDERCUT,
    V,
    diameters,
    one,
    snapshot,
    worn,
)

MASSES = {"car_mass_kg": None, "balance_ratio": None, "counterweight_mass_kg": None}


def limits(of, quantity="seat_depth"):
    _, found, _ = judge(of)
    return {each.place: each for each in found if each.quantity == quantity}


def of_seat(geometry, **rest):
    return limits(snapshot(*worn(3.0), geometry=geometry, **rest))["groove 1"]


class TestWhatIsAssumedOfTheGroove:
    def test_a_bottom_that_is_not_registered_makes_the_limit_a_range(self):
        registered = of_seat(V)
        assumed = of_seat(V | {"flat_bottom_width_mm": None})
        near = of_seat(V | {"flat_bottom_width_mm": 0.55 * 13.0})

        assert assumed.sd > registered.sd
        assert assumed.value - 2.0 * assumed.sd <= near.value + 1e-9

    def test_so_does_one_that_needs_no_masses(self):
        registered = of_seat(V, machine=MASSES)
        assumed = of_seat(V | {"flat_bottom_width_mm": None}, machine=MASSES)
        near = of_seat(V | {"flat_bottom_width_mm": 0.55 * 13.0}, machine=MASSES)

        assert registered.reason == "BOTTOMING"
        assert registered.sd == 0.0
        assert assumed.value - 2.0 * assumed.sd == pytest.approx(near.value)

    def test_a_mouth_that_is_not_registered_is_never_surer(self):
        registered = of_seat(UNDERCUT)
        assumed = of_seat(UNDERCUT | {"groove_angle_deg": None})

        for degrees in (25.0, 30.0, 40.0, 50.0):
            at = of_seat(UNDERCUT | {"groove_angle_deg": degrees})
            if at.reason == assumed.reason:
                assert assumed.value - 2.0 * assumed.sd <= at.value + 1e-6
        assert assumed.sd >= registered.sd


class TestEveryFamily:
    @pytest.mark.parametrize("code", [each.code for each in criteria.ALL])
    @pytest.mark.parametrize("nominal_mm", [8.0, 10.0, 12.7, 13.0, 16.0])
    def test_a_rope_has_a_limit_to_be_dated(self, code, nominal_mm):
        read = diameters(nominal_mm)
        of = snapshot(
            *read, criteria_set=code, rope_set={"nominal_diameter_mm": nominal_mm}
        )

        found = limits(of, "diameter_loss")
        # The industrial standard limits the diameter too; every set here does.
        assert set(found) == {f"rope {n}" for n in range(1, 6)}
        assert 0.0 < found["rope 1"].value < 0.15 * nominal_mm

    def test_an_unworn_part_that_was_not_measured_makes_it_a_range(self):
        [first, *_] = limits(
            snapshot(*diameters(13.0), criteria_set="MLIT_283"), "diameter_loss"
        ).values()

        # A new rope of 13.65 mm is at 90 % of it with 12.285 mm.
        assert first.value - 2.0 * first.sd == pytest.approx(13.0 - 12.285)


class TestPulleysThatNobodyRegistered:
    TWO_TO_ONE = {"machine": {"roping_ratio": 2}}

    def factor(self, **rest):
        return one(
            snapshot(*worn(3.0), **self.TWO_TO_ONE, **rest), "rope safety factor"
        )

    def test_the_safety_factor_says_what_it_assumed(self):
        told = self.factor()

        assert "no pulleys are registered" in str(told.reason)
        names = {axis["name"] for axis in told.detail["assumed"]["assumed"]}
        assert len(names) == 3

    def test_what_is_required_with_registered_ones_lies_between_its_ends(self):
        two = tuple({"diameter_mm": 600.0, "bend": "SIMPLE"} for _ in range(2))

        registered, assumed = self.factor(pulleys=two), self.factor()

        assert "no pulleys are registered" not in str(registered.reason)
        ends = assumed.detail["assumed"]
        assert ends["least_factor"] <= registered.limit <= ends["most_factor"]

    def test_one_to_one_needs_none(self):
        told = one(snapshot(*worn(3.0)), "rope safety factor")

        assert "no pulleys are registered" not in str(told.reason)
