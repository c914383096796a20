import pytest

from inspections.decisions import thresholds
from inspections.decisions.future.taken import taken
from inspections.decisions.records import ClassLearnt, Learnt

RICH = ClassLearnt(
    rate_spread=0.6,
    machines=90,
    within=0.8,
    pairs=300,
    between=0.02,
    periods=10,
)


def of(learnt, **changes):
    return taken(
        name="V",
        learnt=Learnt(classes={"V": learnt} if learnt else {}),
        thresholds=thresholds.changed(changes=changes),
    )


def test_without_a_fleet_the_rule_holds_and_rests_on_nothing():
    found = of(None)

    assert (found.rate_spread, found.on_machine, found.in_class) == (
        pytest.approx(0.35),
        0.5,
        0.1,
    )
    assert (found.machines, found.pairs, found.periods) == (0, 0, 0)


def test_what_the_fleet_shows_counts_by_how_much_of_it_there_is():
    found = of(RICH)

    assert found.rate_spread == pytest.approx((0.9 * 0.36 + 0.1 * 0.35**2) ** 0.5)
    assert found.in_class == pytest.approx((0.02 + 0.1) / 2)
    assert found.on_machine == pytest.approx(0.75 * (0.8 - 0.06) + 0.25 * 0.5)
    assert (found.machines, found.pairs, found.periods) == (90, 300, 10)


def test_what_the_contractor_has_set_holds():
    found = of(RICH, shared_on_machine=0.2, rate_spread=0.5)

    assert (found.on_machine, found.rate_spread) == (0.2, pytest.approx(0.5))
    assert (found.pairs, found.machines, found.periods) == (0, 0, 10)


def test_a_fleet_that_hangs_against_each_other_shares_nothing():
    found = of(ClassLearnt(within=-0.9, pairs=10**6, between=-0.5, periods=10**6))

    assert (found.on_machine, found.in_class) == (pytest.approx(0.0, abs=1e-3), 0.0)


def test_the_correlations_leave_something_of_a_places_own():
    found = of(
        ClassLearnt(within=1.0, pairs=10**6), shared_in_class=0.4, rate_spread=0.3
    )

    assert found.on_machine + found.in_class <= 0.95
