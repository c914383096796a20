"""A seat's rate after a change, and the days that follow from it."""

from dataclasses import replace
from math import log
from statistics import NormalDist, quantiles

import pytest

from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wear_scaling import (
    DaysLeft,
    WearScale,
    WearState,
    days_after,
    wear_scale,
)

NOW = WearState(
    pressure_mpa=5.0,
    sliding_per_turn_mm=0.2,
    sheave_diameter_mm=600.0,
    roping=1,
    form="UndercutGroove",
)
LEFT = DaysLeft(p02_days=240.0, p10_days=300.0, p50_days=400.0, p90_days=600.0)
SAME = WearScale(low=1.0, typical=1.0, high=1.0)


def test_wear_goes_with_pressure_and_sliding_by_trip():
    harder = replace(NOW, pressure_mpa=6.0, sliding_per_turn_mm=0.3)

    found = wear_scale(before=NOW, after=harder)

    assert found.typical == pytest.approx(1.2 * 1.5)
    assert found.low == pytest.approx(1.8**0.5)
    assert found.high == pytest.approx(1.8**1.5)


def test_a_smaller_sheave_turns_more_often_and_two_to_one_twice():
    smaller = wear_scale(before=NOW, after=replace(NOW, sheave_diameter_mm=500.0))
    roped = wear_scale(before=NOW, after=replace(NOW, roping=2))

    assert smaller.typical == pytest.approx(1.2)
    assert roped.typical == pytest.approx(2.0)


def test_less_wear_has_its_ends_in_order_too():
    found = wear_scale(before=NOW, after=replace(NOW, pressure_mpa=2.5))

    assert found.low < found.typical < found.high < 1.0


def test_another_form_is_known_to_a_half_or_to_twice_at_best():
    found = wear_scale(before=NOW, after=replace(NOW, form="VGroove"))

    assert (found.low, found.typical, found.high) == (0.5, 1.0, 2.0)


def test_a_change_to_nothing_moves_no_day():
    found = days_after(now=LEFT, gap_mm=1.3, new_gap_mm=1.3, scale=SAME)

    for name in ("p02_days", "p10_days", "p50_days", "p90_days"):
        assert getattr(found, name) == pytest.approx(getattr(LEFT, name))


def test_spreads_add_as_those_of_logarithms_do():
    scale = WearScale(low=0.5, typical=1.0, high=2.0)
    tenth = NormalDist().inv_cdf(0.9)
    even = DaysLeft(p02_days=None, p10_days=300.0, p50_days=400.0, p90_days=1600.0 / 3)
    spread = log(400.0 / 300.0) / tenth
    rate = log(2.0) / tenth

    found = days_after(now=even, gap_mm=1.0, new_gap_mm=1.5, scale=scale)

    # Draws of both, multiplied: the quantiles of the product.
    days = NormalDist(log(400.0), spread).samples(40_000, seed=3)
    rates = NormalDist(0.0, rate).samples(40_000, seed=4)
    drawn = [d - r + log(1.5) for d, r in zip(days, rates, strict=True)]
    tenths = quantiles(drawn, n=10)
    assert log(found.p10_days) == pytest.approx(tenths[0], abs=0.02)
    assert log(found.p50_days) == pytest.approx(tenths[4], abs=0.02)
    assert log(found.p90_days) == pytest.approx(tenths[8], abs=0.02)


def test_a_wider_scale_never_brings_the_early_day_later():
    wide = WearScale(low=0.5, typical=1.0, high=2.0)

    narrow, wider = (
        days_after(now=LEFT, gap_mm=1.0, new_gap_mm=1.0, scale=scale)
        for scale in (SAME, wide)
    )

    assert wider.p02_days < narrow.p02_days
    assert wider.p10_days < narrow.p10_days
    assert wider.p90_days > narrow.p90_days


@pytest.mark.parametrize(
    "wrong", [{"gap_mm": 0.0}, {"new_gap_mm": -1.0}], ids=["met now", "met then"]
)
def test_a_limit_that_is_met_has_no_days_left(wrong):
    given = {"gap_mm": 1.0, "new_gap_mm": 1.0} | wrong

    with pytest.raises(OutsideValidity):
        days_after(now=LEFT, scale=SAME, **given)
