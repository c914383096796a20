"""Questions to a snapshot, and the register's rows as kernel records."""

from math import radians

import pytest

from fleet.models import SheaveGeometry
from inspections import inputs
from inspections.engineering.groove import UndercutGroove, VGroove
from inspections.engineering.suspension import usual_spread
from inspections.inputs import Missing, is_unconfirmed
from tests.inspections.assessment.snapshots import (
    BEFORE,
    TODAY,
    V,
    diameters,
    snapshot,
    take,
)


def test_latest_is_the_last_one_taken_with_what_is_wanted():
    of = snapshot(
        take("rouge", word="none", rope=1, on=BEFORE),
        take("rouge", word="trace", rope=1),
        take("rouge", word="heavy", rope=2),
    )

    assert of.latest("rouge", rope_id=201).word == "trace"
    assert of.latest("rouge", rope_id=205) is None


def test_last_visit_gives_all_that_one_visit_read():
    of = snapshot(*diameters(12.0, on=BEFORE), *diameters(13.0))

    found = of.last_visit("rope_diameter")
    assert len(found) == 10
    assert {reading.taken_at.date() for reading in found} == {TODAY}


def test_several_kinds_come_in_the_order_of_time():
    of = snapshot(
        take("rouge", word="none", rope=1),
        take("lubrication", word="dry", rope=1, on=BEFORE),
    )

    assert [r.kind for r in of.of_kind("rouge", "lubrication")] == [
        "lubrication",
        "rouge",
    ]


@pytest.mark.parametrize(
    ("state", "accepted", "expected"),
    [
        ("UNCONFIRMED", False, True),
        ("UNCONFIRMED", True, False),
        ("STORED", False, False),
        ("HELD", True, False),
    ],
)
def test_only_an_unconfirmed_reading_nobody_accepted_is_doubted(
    state, accepted, expected
):
    of = snapshot(take("cwt_runby", 20.0, state=state, accepted=accepted))

    assert is_unconfirmed(of.readings[0]) is expected


def test_grooves_of_a_rope_come_in_the_order_of_its_passes():
    of = snapshot(double=True)

    assert [g.number for g in of.grooves_of(rope=of.ropes[1])] == [3, 4]


class TestGroove:
    def test_v_takes_flat_slot_and_hardening_as_registered(self):
        found = inputs.groove_of(SheaveGeometry(**V))

        assert found == VGroove(
            groove_angle_rad=radians(38.0),
            bottom_width_mm=5.0,
            hardened_depth_mm=5.0,
        )

    def test_undercut_without_a_clearance_as_cut_keeps_it_not_known(self):
        found = inputs.groove_of(
            SheaveGeometry(form="UNDERCUT", undercut_angle_deg=95.0, seat_radius_mm=6.7)
        )

        assert isinstance(found, UndercutGroove)
        assert found.bottom_clearance_mm is None

    @pytest.mark.parametrize(
        ("fields", "words"),
        [
            ({"form": "V"}, "groove angle"),
            ({"form": "ROUND"}, "seat radius"),
            ({"form": "UNDERCUT", "seat_radius_mm": 6.5}, "undercut angle"),
            ({"form": "V", "surface": "LINED"}, "only bare metal"),
        ],
    )
    def test_what_is_missing_is_named(self, fields, words):
        with pytest.raises(Missing, match=words):
            inputs.groove_of(SheaveGeometry(**fields))


class TestMasses:
    def test_empty_cable_field_is_not_nothing(self):
        of = snapshot(machine={"travelling_cable_mass_kg_m": None})

        with pytest.raises(Missing, match="travelling cable"):
            inputs.suspension_of(of)

    def test_everything_that_lacks_is_named_at_once(self):
        of = snapshot(machine={"car_mass_kg": None, "rated_speed_m_s": None})

        with pytest.raises(Missing, match="car mass, rated speed"):
            inputs.suspension_of(of)

    def test_weighed_counterweight_stands_for_the_balance(self):
        found = inputs.suspension_of(
            snapshot(machine={"counterweight_mass_kg": 1700.0})
        )

        assert found.balancing_mass_kg == 1700.0
        assert found.balance_ratio is None

    def test_certificate_prevails_over_factors(self):
        found = inputs.rope_of(snapshot(rope_set={"breaking_force_kn": 80.0}))

        assert found.breaking_force_n == 80_000.0
        assert found.from_certificate == ("breaking_force_n",)

    def test_wrap_comes_from_the_deflector_where_it_is_not_registered(self):
        of = snapshot(
            machine={"wrap_angle_deg": None},
            pulleys=(
                {
                    "kind": "DEFLECTOR",
                    "diameter_mm": 500.0,
                    "offset_x_mm": 700.0,
                    "drop_h_mm": 500.0,
                },
            ),
        )

        # 128.870 degrees: derived, checked against the hull of two circles.
        assert inputs.wrap_of(of).total_rad == pytest.approx(radians(128.870), abs=1e-5)

    def test_double_wrap_halves_the_registered_angle(self):
        of = snapshot(machine={"wrap": "DOUBLE", "wrap_angle_deg": 320.0})

        assert inputs.wrap_of(of).angles_rad == (radians(160.0), radians(160.0))


class TestSpread:
    @pytest.mark.parametrize(
        ("source", "factor"), [("MEASURED", 0.5), ("PLATE", 1.0), ("ASSUMED", 2.0)]
    )
    def test_goes_with_where_a_value_comes_from(self, source, factor):
        of = snapshot(machine={"sources": {"car_mass_kg": source}})
        hung = inputs.suspension_of(of)

        found = inputs.spread_of(of, hung)

        usual = usual_spread(suspension=hung)
        assert found.car_mass_kg == pytest.approx(factor * usual.car_mass_kg)

    def test_registers_own_uncertainty_prevails(self):
        of = snapshot(machine={"uncertainties": {"wrap_angle_deg": 3.0}})

        found = inputs.spread_of(of, inputs.suspension_of(of))

        assert found.wrap_angle_rad == pytest.approx(radians(3.0))
