from dataclasses import replace
from datetime import date

import pytest

from inspections.decisions import comparison, options, thresholds
from inspections.decisions.records import Estimate, OptionKind, Rates, exactly
from inspections.reasons import Code, Grade, Term
from tests.inspections.decisions import machines
from tests.inspections.decisions.machines import AS_OF

SOON = (
    machines.ahead(plan=date(2027, 1, 1), p50=date(2029, 1, 1), p90=date(2032, 1, 1)),
    machines.ahead(
        "diameter_loss",
        "rope 1",
        plan=date(2027, 6, 1),
        p50=date(2029, 6, 1),
        p90=date(2033, 1, 1),
        wear_class="rope diameter",
        limit=0.78,
        rate_per_year=0.08,
    ),
)


def compared(
    *,
    rates=machines.RATES,
    leads=machines.LEADS,
    seed=2,
    draws=1000,
    horizon_years=15.0,
    **facts,
):
    given = replace(machines.SOUND, **({"ahead": SOON} | facts))
    found = options.work_out(
        facts=given,
        rates=rates,
        lead_times=leads,
        thresholds=thresholds.DEFAULTS,
        as_of=AS_OF,
    )
    return comparison.compare(
        options=found,
        facts=given,
        thresholds=thresholds.DEFAULTS,
        as_of=AS_OF,
        seed=seed,
        draws=draws,
        horizon_years=horizon_years,
        day_out=rates.day_out,
    )


def course(found, kind):
    return next(each for each in found.courses if each.kind is kind)


def said(found):
    return " | ".join(reason.text for reason in found.doubts)


def test_each_course_has_cost_and_visits_over_the_horizon():
    found = compared()

    watch = course(found, OptionKind.WATCH)
    assert watch.cost_p10 <= watch.cost_mean <= watch.cost_p90
    assert watch.visits_p10 <= watch.visits_mean <= watch.visits_p90
    assert dict(watch.works)[OptionKind.REGROOVE_IN_PLACE] > 0.9
    assert found.currency == "EUR"
    assert found.horizon_years == 15.0


def test_expected_cost_is_the_sum_of_expected_works_where_prices_are_sure():
    found = compared(rates=replace(machines.RATES, hoisting=exactly(1500.0)))

    prices = {
        OptionKind.RE_ROPE: 5000.0,
        OptionKind.REGROOVE_IN_PLACE: 7500.0,
        OptionKind.REGROOVE_IN_SHOP: 8300.0,
        OptionKind.REPLACE_SHEAVE: 12500.0,
    }
    for kind in (OptionKind.WATCH, OptionKind.REPLACE_SHEAVE):
        followed = course(found, kind)
        expected = sum(prices[work] * number for work, number in followed.works)
        spent = followed.cost_mean + followed.left_mean
        assert spent == pytest.approx(expected + followed.standing.cost.mean)


def test_new_ropes_make_two_visits_each():
    found = course(compared(), OptionKind.RE_ROPE)

    assert found.visits_mean == pytest.approx(2 * sum(n for _, n in found.works))


def test_the_same_seed_gives_the_same_answer_and_another_seed_another():
    assert compared() == compared()
    assert compared() != compared(seed=3)


def test_another_machine_meets_other_draws():
    assert compared().courses != compared(machine_key=2).courses


def test_what_cannot_be_taken_or_leaves_a_stop_open_is_left_out():
    stop = machines.finding("rope discard", Grade.ACT_NOW, stop=True)

    found = compared(findings=(stop,))

    left_out = dict(found.left_out)
    assert left_out[OptionKind.WATCH].code is Code.LEFT_OUT_IMPOSSIBLE
    assert left_out[OptionKind.EQUALISE].code is Code.LEFT_OUT_STOP
    assert left_out[OptionKind.MEASURE_FIRST].code is Code.LEFT_OUT_MEASURING
    followed = {each.kind for each in found.courses}
    assert OptionKind.RE_ROPE in followed
    assert followed.isdisjoint(left_out)


def test_the_cheapest_is_named_with_how_sure_that_is():
    found = compared()

    least = min(found.courses, key=lambda each: each.cost_mean)
    assert found.cheapest is least.kind
    assert 0.0 < found.chance_cheapest <= 1.0


def test_a_tie_is_told_where_prices_are_not_sure():
    wide = Estimate(low=0.0, mid=2150.0, high=4300.0)
    rates = replace(
        machines.RATES,
        shop={
            OptionKind.REGROOVE_IN_PLACE: wide,
            OptionKind.REGROOVE_IN_SHOP: Estimate(low=0.0, mid=650.0, high=1300.0),
        },
        hoisting=exactly(1500.0),
        # The shop takes longer, and the machine stands.
        day_out=exactly(0.0),
    )
    stop = machines.finding("traction", Grade.ACT_NOW, stop=True)

    found = compared(rates=rates, findings=(stop,))

    pair = {OptionKind.REGROOVE_IN_PLACE, OptionKind.REGROOVE_IN_SHOP}
    assert {found.cheapest, *found.ties} == pair
    assert "cannot be told from the cheapest" in said(found)


def test_equal_prices_are_a_tie():
    rates = replace(
        machines.RATES,
        shop={
            OptionKind.REGROOVE_IN_PLACE: exactly(2000.0),
            OptionKind.REGROOVE_IN_SHOP: exactly(500.0),
        },
        hoisting=exactly(1500.0),
    )
    leads = replace(machines.LEADS, shop_days=dict.fromkeys(rates.shop, 30))
    stop = machines.finding("traction", Grade.ACT_NOW, stop=True)

    found = compared(rates=rates, leads=leads, findings=(stop,))

    assert found.ties == (OptionKind.REGROOVE_IN_SHOP,)


def test_without_rates_there_is_no_cost_and_no_cheapest_but_visits():
    found = compared(rates=Rates())

    watch = course(found, OptionKind.WATCH)
    assert watch.cost_mean is None
    assert watch.cost_p90 is None
    assert Term.PRICE_OF_HOUR in watch.missing
    assert watch.visits_mean > 0.0
    assert found.cheapest is None
    assert found.chance_cheapest is None


def test_a_rate_that_no_work_of_a_course_needs_is_not_missed():
    found = compared(rates=replace(machines.RATES, parts={}), horizon_years=3.0)

    assert course(found, OptionKind.REGROOVE_IN_PLACE).cost_mean is not None
    assert course(found, OptionKind.REPLACE_SHEAVE).missing == (Term.PRICE_OF_SHEAVE,)


def test_a_longer_horizon_costs_no_less():
    short = course(compared(horizon_years=5.0), OptionKind.WATCH)
    long = course(compared(horizon_years=20.0), OptionKind.WATCH)

    assert short.cost_mean < long.cost_mean


def test_doubts_name_what_is_in_no_number():
    found = compared(
        ahead=(replace(SOON[0], rate_per_year=None, own=False),),
        proof=replace(machines.SOUND.proof, crack_free=None),
    )

    text = said(found)
    assert "no date of the ropes" in text
    assert "no rate of the grooves" in text
    assert "rests on other machines alone" in text
    assert "crack check" in text
    assert "later cuts are taken not to fit" in text
    assert all(reason.source for reason in found.doubts)


def test_nothing_that_can_be_followed_gives_an_empty_comparison():
    stop = machines.finding("brake", Grade.ACT_NOW, stop=True)

    found = compared(findings=(stop,))

    assert found.courses == ()
    assert found.cheapest is None
    assert len(found.left_out) == len(OptionKind)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"horizon_years": 0.0}, "horizon_years is 0"),
        (
            {"horizon_years": 41.0},
            "horizon_years is 41; it must be above 0 and at most",
        ),
        ({"horizon_years": float("nan")}, "horizon_years is nan"),
        ({"draws": 99}, "draws is 99; it must be 100 or more"),
    ],
)
def test_a_comparison_out_of_range_names_value_and_limit(given, words):
    with pytest.raises(ValueError, match=words):
        compared(**given)
