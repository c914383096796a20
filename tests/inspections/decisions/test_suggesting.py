"""Rates suggested from what works took."""

import pytest

from inspections.decisions import suggesting
from inspections.decisions.records import BoughtPart, OptionKind
from inspections.decisions.suggesting import Spent

ROPES, CUT = OptionKind.RE_ROPE, OptionKind.REGROOVE_IN_SHOP


def found(*spent):
    return {
        (rate.name, rate.key): (
            rate.band.low,
            rate.band.mid,
            rate.band.high,
            rate.works,
        )
        for rate in suggesting.suggest(spent)
    }


def test_the_least_the_middle_and_the_greatest_of_three_works():
    works = [Spent(kind=ROPES, hours=hours) for hours in (20.0, 14.0, 16.0)]

    assert found(*works) == {("hours", "RE_ROPE"): (14.0, 16.0, 20.0, 3)}


def test_two_works_suggest_nothing():
    assert found(Spent(kind=ROPES, hours=14.0), Spent(kind=ROPES, hours=16.0)) == {}


def test_other_kinds_of_work_are_told_apart_and_shared_rates_are_not():
    works = [
        Spent(kind=ROPES, hours=10.0, labour=800.0),
        Spent(kind=ROPES, hours=20.0, labour=1500.0),
        Spent(kind=CUT, hours=30.0, labour=2700.0, shop=900.0, hoisting=1200.0),
    ]

    # 80, 75 and 90 for an hour; no kind has three works.
    assert found(*works) == {("hourly", ""): (75.0, 80.0, 90.0, 3)}


def test_rope_is_priced_by_the_metre_where_metres_are_said():
    works = [Spent(kind=ROPES, rope=600.0, rope_m=metres) for metres in (100, 150, 200)]
    without = Spent(kind=ROPES, rope=900.0)

    said = found(*works, without)

    assert said[("rope_per_m", "")] == (3.0, 4.0, 6.0, 3)
    assert said[("parts", "ROPE_SET")] == (600.0, 600.0, 900.0, 4)


def test_access_is_a_rate_of_its_own():
    works = [Spent(kind=ROPES, access=paid) for paid in (300.0, 900.0, 450.0)]

    assert found(*works) == {("access", ""): (300.0, 450.0, 900.0, 3)}


def test_a_part_counts_for_what_was_bought():
    sheave = {"kind": OptionKind.REPLACE_SHEAVE, "bought": BoughtPart.SHEAVE}
    works = [Spent(part=price, **sheave) for price in (1000.0, 3000.0, 2000.0)]

    assert found(*works) == {("parts", "SHEAVE"): (1000.0, 2000.0, 3000.0, 3)}


@pytest.mark.parametrize("hours", [0.0, None])
def test_no_hour_gives_no_price_of_an_hour(hours):
    works = [Spent(kind=ROPES, hours=hours, labour=100.0) for _ in range(3)]

    assert ("hourly", "") not in found(*works)
