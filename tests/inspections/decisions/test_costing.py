from dataclasses import replace

import pytest

from inspections.decisions import costing
from inspections.decisions.records import (
    BoughtPart,
    Estimate,
    OptionKind,
    Rates,
    exactly,
)
from inspections.engineering.validity import OutsideValidity
from inspections.reasons import Term, english
from tests.inspections.decisions import machines


def estimate(kind, *, facts=machines.SOUND, **rates):
    return costing.estimate(
        kind=kind, facts=facts, rates=replace(machines.RATES, **rates)
    )


@pytest.mark.parametrize(
    ("kind", "mid"),
    [
        (OptionKind.WATCH, 0.0),
        (OptionKind.MEASURE_FIRST, 1000.0),
        (OptionKind.EQUALISE, 1000.0),
        (OptionKind.LUBRICATE, 1000.0 + 50.0),
        (OptionKind.SHORTEN, 1000.0),
        (OptionKind.RE_ROPE, 1000.0 + 4000.0),
        (OptionKind.REGROOVE_IN_PLACE, 1000.0 + 4000.0 + 2500.0),
        (OptionKind.REGROOVE_IN_SHOP, 1000.0 + 4000.0 + 1800.0 + 1500.0),
        (OptionKind.RENEW_RIM, 1000.0 + 4000.0 + 4000.0 + 1500.0),
        (OptionKind.REPLACE_SHEAVE, 1000.0 + 4000.0 + 6000.0 + 1500.0),
    ],
)
def test_each_kind_of_work_costs_what_it_needs(kind, mid):
    found = estimate(kind)

    assert found.mid == mid
    assert found.is_estimated
    assert found.currency == "EUR"


def test_low_and_high_are_summed_each_for_itself():
    found = estimate(
        OptionKind.REGROOVE_IN_SHOP, hourly=Estimate(low=80.0, mid=100.0, high=130.0)
    )

    assert found.low == 800.0 + 4000.0 + 1800.0 + 1000.0
    assert found.high == 1300.0 + 4000.0 + 1800.0 + 3000.0


@pytest.mark.parametrize(
    ("lacking", "missing"),
    [
        ({"hourly": None}, "price of an hour"),
        ({"hours": {}}, "no hours entered for “replace the sheave and re-rope”"),
        ({"hoisting": None}, "hoisting"),
        ({"parts": {}}, "price of a sheave"),
        ({"rope_per_m": None}, "price of a rope set, or of a metre of rope"),
        ({"currency": ""}, "currency"),
    ],
)
def test_a_missing_rate_gives_no_amount_and_its_name(lacking, missing):
    found = estimate(OptionKind.REPLACE_SHEAVE, **lacking)

    assert [english(item) for item in found.missing] == [missing]
    assert (found.low, found.mid, found.high) == (None, None, None)
    assert not found.is_estimated


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        (OptionKind.REPLACE_SHEAVE, 400.0),
        (OptionKind.RE_ROPE, 400.0),
        (OptionKind.REGROOVE_IN_PLACE, 400.0),
        (OptionKind.EQUALISE, 0.0),
    ],
)
def test_access_is_paid_for_heavy_work_alone(kind, more):
    without, with_it = estimate(kind), estimate(kind, access=exactly(400.0))

    assert with_it.mid - without.mid == more
    assert without.is_estimated


def test_without_any_rate_everything_is_named():
    found = costing.estimate(
        kind=OptionKind.REGROOVE_IN_SHOP, facts=machines.SOUND, rates=Rates()
    )

    assert len(found.missing) == 6


@pytest.mark.parametrize("lacking", ["rope_count", "rope_length_m"])
def test_without_the_ropes_length_the_price_of_a_set_counts(lacking):
    facts = replace(machines.SOUND, **{lacking: None})

    with_set = estimate(
        OptionKind.RE_ROPE, facts=facts, parts={BoughtPart.ROPE_SET: exactly(3000.0)}
    )
    without = estimate(OptionKind.RE_ROPE, facts=facts)

    assert with_set.mid == 4000.0
    assert without.missing == (Term.ROPES_NUMBER_AND_LENGTH,)


@pytest.mark.parametrize(
    "band",
    [
        {"low": -1.0, "mid": 1.0, "high": 2.0},
        {"low": 2.0, "mid": 1.0, "high": 3.0},
        {"low": 1.0, "mid": 3.0, "high": 2.0},
        {"low": 1.0, "mid": float("nan"), "high": 2.0},
        {"low": 1.0, "mid": 1.0, "high": float("inf")},
    ],
)
def test_a_band_out_of_order_is_refused(band):
    with pytest.raises(OutsideValidity):
        Estimate(**band)
