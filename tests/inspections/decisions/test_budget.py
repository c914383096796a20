from dataclasses import replace
from datetime import date, timedelta
from statistics import fmean, stdev

import pytest

from inspections.decisions import budget, thresholds
from inspections.decisions.records import (
    Cost,
    Offer,
    OptionKind,
    PlannedMachine,
    Possible,
)
from inspections.reasons import Term
from tests.inspections.decisions import simulated_again
from tests.inspections.decisions.machines import ahead

AS_OF = date(2026, 1, 1)
PRICES = {
    "SHORTEN": (400.0, 500.0, 900.0),
    "RE_ROPE": (4000.0, 5000.0, 7000.0),
    "REGROOVE_IN_SHOP": (8000.0, 9000.0, 13000.0),
    "REPLACE_SHEAVE": (14000.0, 15000.0, 21000.0),
}

LEADS = {"SHORTEN": 14, "RE_ROPE": 56, "REGROOVE_IN_SHOP": 74, "REPLACE_SHEAVE": 154}


def offers(*, fits=Possible.YES, currency="EUR"):
    return tuple(
        Offer(
            kind=OptionKind(kind),
            possible=fits if kind == "REGROOVE_IN_SHOP" else Possible.YES,
            cost=Cost(currency=currency, low=low, mid=mid, high=high),
            further_cuts=0,
            lead_days=LEADS[kind],
        )
        for kind, (low, mid, high) in PRICES.items()
    )


def machine(key, *, grooves, ropes, runby=None, **rest):
    """Return a machine whose parts are due in about so many years."""

    def limit(quantity, place, due, limit_at, rate):
        day = AS_OF + timedelta(days=round(365.25 * due))
        return ahead(
            quantity,
            place,
            plan=AS_OF + timedelta(days=round(365.25 * 0.5 * due)),
            p10_on=AS_OF + timedelta(days=round(365.25 * 0.7 * due)),
            p50=day,
            p90=AS_OF + timedelta(days=round(365.25 * 1.5 * due)),
            wear_class=quantity,
            limit=limit_at,
            rate_per_year=rate,
            last_on=AS_OF,
        )

    found = [limit("seat_depth", f"groove {n}", grooves, 2.0, 0.3) for n in (1, 2)]
    found.append(limit("diameter_loss", "rope 1", ropes, 0.8, 0.2))
    if runby:
        found.append(limit("counterweight_runby", "", runby, 100.0, 40.0))
    return PlannedMachine(machine_key=key, ahead=tuple(found), offers=offers(), **rest)


PORTFOLIO = (
    machine(1, grooves=3.0, ropes=1.5),
    machine(2, grooves=1.0, ropes=4.0, runby=1.2),
    machine(3, grooves=6.0, ropes=0.8, runby=2.0),
    machine(4, grooves=2.2, ropes=2.0),
)


def drawn(machines=PORTFOLIO, *, changes=(), seed=3, **rest):
    given = {"quarters": 20, "draws": 4000} | rest
    return budget.by_quarter(
        machines=machines,
        thresholds=thresholds.changed(changes=dict(changes)),
        as_of=AS_OF,
        seed=seed,
        **given,
    )


@pytest.mark.parametrize(
    ("in_class", "on_machine"),
    [pytest.param(0.0, 0.0, marks=pytest.mark.long), (0.3, 0.4)],
)
def test_the_whole_agrees_with_a_simulation_written_a_second_time(in_class, on_machine):
    again = simulated_again.simulate(
        PORTFOLIO,
        prices=PRICES,
        leads={kind: days / 365.25 for kind, days in LEADS.items()},
        as_of=AS_OF,
        until=date(2031, 1, 1),
        draws=4000,
        seed=11,
        in_class=in_class,
        on_machine=on_machine,
        spread=0.35,
        unevenness=0.15,
        cuts=1,
    )

    found = drawn(
        changes={"shared_in_class": in_class, "shared_on_machine": on_machine}
    )

    costs = sorted(cost for _, cost, _ in again)
    stood = [365.25 * years for _, _, years in again]
    # Days are few and far between: five standard errors of both drawings.
    error = 5.0 * stdev(stood) * (2 / len(stood)) ** 0.5
    assert found.standing.days.mean == pytest.approx(fmean(stood), abs=error)
    assert fmean(stood) > 2 * error
    assert found.whole.cost.mean == pytest.approx(fmean(costs), rel=0.02)
    assert found.whole.cost.p10 == pytest.approx(costs[400], rel=0.03)
    assert found.whole.cost.p90 == pytest.approx(costs[3600], rel=0.03)
    for kind, expected in found.whole.counts:
        counts = sorted(each.get(kind.value, 0) for each, _, _ in again)
        assert expected.mean == pytest.approx(fmean(counts), abs=0.12)
        assert abs(expected.p10 - counts[400]) <= 1
        assert abs(expected.p90 - counts[3600]) <= 1


def test_what_machines_share_widens_the_sum_and_leaves_its_mean():
    one = machine(1, grooves=6.0, ropes=30.0)
    alike = tuple(
        replace(one, machine_key=key, ahead=one.ahead[:1]) for key in range(40)
    )

    alone = drawn(alike, changes={"shared_in_class": 0.0}, quarters=20, draws=2000)
    together = drawn(alike, changes={"shared_in_class": 0.4}, quarters=20, draws=2000)

    cuts_alone = dict(alone.whole.counts)[OptionKind.REGROOVE_IN_SHOP]
    cuts_together = dict(together.whole.counts)[OptionKind.REGROOVE_IN_SHOP]
    share = cuts_alone.mean / 40
    assert 0.2 < share < 0.8
    assert cuts_together.mean == pytest.approx(cuts_alone.mean, abs=0.8)
    # Forty coins that fall so: the mean and 1.2816 standard deviations.
    wide = 1.2816 * (40 * share * (1 - share)) ** 0.5
    assert cuts_alone.p90 == pytest.approx(cuts_alone.mean + wide, abs=1.0)
    assert cuts_together.p90 > cuts_alone.p90 + 4


def test_quantiles_are_of_the_sum_and_not_summed():
    found = drawn()

    assert sum(q.cost.mean for q in found.quarters) == pytest.approx(
        found.whole.cost.mean
    )
    assert sum(q.cost.p90 for q in found.quarters) > 1.2 * found.whole.cost.p90
    assert sum(q.cost.p10 for q in found.quarters) < 0.8 * found.whole.cost.p10


def test_the_order_of_the_machines_changes_nothing():
    assert drawn(draws=200) == drawn(tuple(reversed(PORTFOLIO)), draws=200)


def test_the_size_of_a_chunk_changes_nothing(monkeypatch):
    whole = drawn(draws=200)
    monkeypatch.setattr(budget, "CHUNK", 1)

    found = drawn(draws=200)

    assert replace(found, by_kind=()) == replace(whole, by_kind=())
    # Shares are sums in another order: they differ in the last digit.
    for one, other in zip(found.by_kind, whole.by_kind, strict=True):
        assert (one.kind, one.cost) == (other.kind, other.cost)
        assert one.spread_share == pytest.approx(other.spread_share, rel=1e-12)


def test_the_same_seed_gives_the_same_budget_and_another_seed_another():
    assert drawn(draws=200) == drawn(draws=200)
    assert drawn(draws=200) != drawn(draws=200, seed=4)


def test_quarters_are_those_of_the_calendar():
    found = budget.by_quarter(
        machines=PORTFOLIO,
        thresholds=thresholds.DEFAULTS,
        as_of=date(2026, 11, 25),
        seed=1,
        quarters=3,
        draws=100,
    )

    begins = [quarter.begins_on for quarter in found.quarters]
    assert begins == [date(2026, 10, 1), date(2027, 1, 1), date(2027, 4, 1)]


def test_planned_work_falls_on_its_day_and_nothing_of_it_twice():
    planned = machine(
        9,
        grooves=6.0,
        ropes=6.0,
        chosen=OptionKind.RE_ROPE,
        planned_on=date(2026, 8, 15),
    )

    found = drawn((planned,), quarters=6, draws=400)

    by_day = [dict(quarter.counts) for quarter in found.quarters]
    assert by_day[2][OptionKind.RE_ROPE].mean == pytest.approx(1.0, abs=0.01)
    assert found.whole.counts[0][1].mean == pytest.approx(1.0, abs=0.02)


def test_planned_work_that_renews_nothing_is_counted_too():
    planned = machine(
        9,
        grooves=9.0,
        ropes=9.0,
        chosen=OptionKind.EQUALISE,
        planned_on=date(2026, 2, 1),
    )

    found = drawn((planned,), quarters=1, draws=100)

    assert dict(found.whole.counts)[OptionKind.EQUALISE].mean == 1.0
    assert found.without_cost == ((OptionKind.EQUALISE, Term.AN_OFFER),)


def test_planned_work_is_drawn_forward_when_its_part_ends_shortly_before():
    planned = machine(
        9,
        grooves=20.0,
        ropes=0.8,
        chosen=OptionKind.REGROOVE_IN_SHOP,
        planned_on=date(2027, 6, 1),
    )

    found = drawn((planned,), quarters=6, draws=400)

    works = dict(found.whole.counts)
    assert works[OptionKind.REGROOVE_IN_SHOP].mean == pytest.approx(1.0, abs=0.02)


def test_a_cut_that_is_not_known_to_fit_is_budgeted_as_a_new_sheave():
    unsure = replace(PORTFOLIO[1], offers=offers(fits=Possible.NOT_KNOWN))

    found = drawn((unsure,), draws=200)

    kinds = [kind for kind, _ in found.whole.counts]
    assert OptionKind.REGROOVE_IN_SHOP not in kinds
    assert OptionKind.REPLACE_SHEAVE in kinds


def test_machines_without_a_date_are_named():
    nothing = PlannedMachine(machine_key=77, ahead=(), offers=offers())

    found = drawn((*PORTFOLIO, nothing), draws=100)

    assert found.without_dates == (77,)
    assert found.machines == 5
    assert found.cautions


def test_work_without_a_rate_is_counted_and_named():
    no_rates = tuple(
        replace(offer, cost=Cost(currency="EUR", missing=(Term.PRICE_OF_HOISTING,)))
        for offer in offers()
    )
    unpriced = replace(PORTFOLIO[0], offers=no_rates)

    found = drawn((unpriced,), draws=100)

    assert found.whole.cost.mean == 0.0
    assert (OptionKind.RE_ROPE, Term.PRICE_OF_HOISTING) in found.without_cost


def test_two_currencies_are_refused():
    other = replace(PORTFOLIO[0], machine_key=8, offers=offers(currency="CHF"))

    with pytest.raises(ValueError, match="EUR, CHF"):
        drawn((*PORTFOLIO, other), draws=100)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"quarters": 0}, "quarters is 0; it must be from 1 to 80"),
        ({"quarters": 81}, "quarters is 81"),
        ({"draws": 99}, "draws is 99; it must be 100 or more"),
    ],
)
def test_a_budget_out_of_range_names_value_and_limit(given, words):
    with pytest.raises(ValueError, match=words):
        drawn(**given)


def test_an_empty_portfolio_costs_nothing():
    found = drawn((), draws=100)

    assert found.whole.cost.mean == 0.0
    assert found.machines == 0


def test_kinds_share_the_spread_and_the_dearest_machine_comes_first():
    near = machine(1, grooves=1.0, ropes=0.5)
    far = machine(2, grooves=30.0, ropes=25.0)

    found = budget.by_quarter(
        machines=[near, far],
        thresholds=thresholds.DEFAULTS,
        as_of=AS_OF,
        seed=1,
        quarters=12,
        draws=500,
    )

    assert sum(each.cost.mean for each in found.by_kind) == pytest.approx(
        found.whole.cost.mean
    )
    assert sum(each.spread_share for each in found.by_kind) == pytest.approx(1.0)
    assert found.by_kind[0].spread_share == max(e.spread_share for e in found.by_kind)
    assert found.dearest[0].machine_key == 1
    assert sum(each.cost.mean for each in found.dearest) == pytest.approx(
        found.whole.cost.mean
    )
