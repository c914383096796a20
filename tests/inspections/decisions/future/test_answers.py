import numpy as np
import pytest

from inspections.decisions.future import answers
from inspections.decisions.records import Cost, Offer, OptionKind, Possible


def offer(kind, mid=None, *, possible=Possible.YES, further=None):
    cost = Cost(currency="EUR", low=mid, mid=mid, high=mid)
    return Offer(kind=kind, possible=possible, cost=cost, further_cuts=further)


def test_the_cheaper_known_cut_is_taken_as_often_as_it_fits():
    found = answers.answers_of(
        offers=(
            offer(OptionKind.REGROOVE_IN_PLACE, 9000.0, further=1),
            offer(OptionKind.REGROOVE_IN_SHOP, 8000.0, further=1),
        )
    )

    assert found.cut is OptionKind.REGROOVE_IN_SHOP
    assert found.cuts == 2


def test_a_cut_without_a_cost_is_taken_after_one_with_a_cost():
    found = answers.answers_of(
        offers=(
            offer(OptionKind.REGROOVE_IN_PLACE),
            offer(OptionKind.REGROOVE_IN_SHOP, 8000.0),
        )
    )

    assert found.cut is OptionKind.REGROOVE_IN_SHOP
    assert found.cuts == 1


@pytest.mark.parametrize("possible", [Possible.NO, Possible.NOT_KNOWN])
def test_a_cut_not_known_to_fit_is_not_taken(possible):
    found = answers.answers_of(
        offers=(offer(OptionKind.REGROOVE_IN_SHOP, 8000.0, possible=possible),)
    )

    assert found.cut is None
    assert found.cuts == 0
    assert found.renewal is OptionKind.REPLACE_SHEAVE


def test_a_rim_that_can_be_renewed_is_renewed():
    found = answers.answers_of(offers=(offer(OptionKind.RENEW_RIM, 7000.0),))

    assert found.renewal is OptionKind.RENEW_RIM


def test_draws_of_a_price_have_the_triangular_mean_and_stay_between():
    low, mid, high = (np.full(100001, each) for each in (100.0, 130.0, 220.0))
    uniform = np.linspace(0.0, 1.0, 100001)

    found = answers.priced(low=low, mid=mid, high=high, uniform=uniform)

    assert found.mean() == pytest.approx((100.0 + 130.0 + 220.0) / 3, rel=1e-3)
    assert found.min() == 100.0
    assert found.max() == 220.0
    assert (np.diff(found) >= 0.0).all()


def test_a_price_without_width_is_that_price():
    one = np.array([50.0])

    assert answers.priced(low=one, mid=one, high=one, uniform=one * 0.01) == 50.0


def test_kinds_without_an_amount_are_not_numbers():
    missing = Offer(
        kind=OptionKind.SHORTEN,
        possible=Possible.YES,
        cost=Cost(currency="EUR", missing=("price of an hour",)),
    )

    found = answers.bands(offers=[(offer(OptionKind.RE_ROPE, 5.0), missing)])

    column = answers.NUMBER[OptionKind.RE_ROPE]
    assert found[:, 0, column].tolist() == [5.0, 5.0, 5.0]
    assert np.isnan(found).sum() == found.size - 3
