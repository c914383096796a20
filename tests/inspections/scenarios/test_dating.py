"""Dates of seats after a change: moved from those that stand, never for the machine."""

from dataclasses import replace
from datetime import date

import pytest

from inspections import scenarios
from inspections.assessment.assessing import judge
from inspections.scenarios.dating import StandingForecast
from tests.inspections.assessment.snapshots import snapshot, worn

OF = snapshot(*worn(2.5))


def standing():
    """Return a forecast of each seat, its limit that which binds now."""
    _, limits, _ = judge(OF)
    own = [limit for limit in limits if limit.quantity == "seat_depth"]
    assert own
    return tuple(
        StandingForecast(
            place=limit.place,
            read_on=date(2026, 5, 4),
            level_mm=1.5,
            limit_mm=limit.value,
            p02_on=date(2028, 1, 1),
            p10_on=date(2028, 9, 1),
            p50_on=date(2030, 1, 1),
            p90_on=date(2033, 1, 1),
        )
        for limit in own
    )


def tried(**changes):
    return scenarios.work_out(OF, scenarios.read(changes), standing=standing())


def test_a_change_to_nothing_moves_no_date():
    found = tried()

    assert len(found.dates) == len(standing())
    for each in found.dates:
        assert replace(each.then, limit_reason="") == each.now
        assert not each.reached


def test_a_cut_begins_at_nothing_and_lasts_longer():
    found = tried(cut_depth_mm=1.0)

    for each in found.dates:
        assert each.then.p50_on is None or each.then.p50_on > each.now.p50_on


def test_more_compensation_slides_less_and_a_v_is_known_less():
    eased = tried(compensation_mass_kg_m=2.873)
    vee = tried(
        groove_form="V",
        groove_angle_deg=40.0,
        flat_bottom_width_mm=5.0,
        hardened_depth_mm=5.0,
    )

    assert eased.wear_scale.high < 1.1
    assert vee.wear_scale.high / vee.wear_scale.low >= 4.0


def test_dates_that_are_past_already_are_moved_all_the_same():
    past = tuple(
        replace(
            each,
            p02_on=date(2026, 5, 8),
            p10_on=date(2026, 5, 12),
            p50_on=date(2026, 5, 20),
            p90_on=date(2026, 5, 28),
        )
        for each in standing()
    )

    found = scenarios.work_out(OF, scenarios.read({"cut_depth_mm": 1.0}), standing=past)

    assert all(each.then.p50_on > date(2026, 6, 1) for each in found.dates)


def test_a_lighter_car_slides_more_and_is_due_sooner():
    found = tried(car_mass_kg=1190.0)

    assert found.wear_scale.typical > 1.0
    for each in found.dates:
        assert each.then.p50_on < each.now.p50_on
        assert each.then.p02_on < each.now.p02_on


def test_a_car_so_light_that_a_case_no_longer_closes_is_at_its_limit_at_once():
    found = tried(car_mass_kg=1000.0)

    assert found.dates
    assert all(each.then is None and each.reached for each in found.dates)


def test_a_limit_that_would_be_met_at_once_has_no_date():
    deep = tuple(replace(each, level_mm=3.6, limit_mm=3.9) for each in standing())

    found = scenarios.work_out(
        OF, scenarios.read({"rated_speed_m_s": 1.0}), standing=deep
    )

    assert all(each.reached and each.then is None for each in found.dates)


@pytest.mark.parametrize("missing", ["balance_ratio", "car_mass_kg"])
def test_without_masses_no_rate_is_told(missing):
    of = snapshot(*worn(2.5), machine={missing: None})

    found = scenarios.work_out(
        of, scenarios.read({"cut_depth_mm": 1.0}), standing=standing()
    )

    assert found.wear_scale is None
    assert all(each.then is None for each in found.dates)
