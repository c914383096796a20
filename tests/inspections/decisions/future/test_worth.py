import numpy as np
import pytest

from inspections.decisions.future import worth
from inspections.decisions.future.answers import KINDS, NUMBER
from inspections.decisions.records import OptionKind

PRICES = {
    OptionKind.SHORTEN: 500.0,
    OptionKind.RE_ROPE: 4000.0,
    OptionKind.REGROOVE_IN_SHOP: 9000.0,
}


def left(by, shares, *, without=()):
    prices = np.full((len(KINDS), 1), np.nan)
    for kind, price in PRICES.items():
        if kind not in without:
            prices[NUMBER[kind], 0] = price
    numbers = [-1 if kind is None else NUMBER[kind] for kind in by]
    found = worth.left(
        by=np.array(numbers)[:, None, None],
        shares=np.array(shares)[:, None, None],
        prices=prices,
    )
    return float(found[0, 0])


CUT, ROPES, SHORTEN = (
    OptionKind.REGROOVE_IN_SHOP,
    OptionKind.RE_ROPE,
    OptionKind.SHORTEN,
)


@pytest.mark.parametrize(
    ("by", "shares", "money"),
    [
        # Seats, ropes, run-by.
        ((None, None, None), (0.0, 0.0, 0.0), 0.0),
        ((None, ROPES, ROPES), (0.0, 0.5, 0.9), 2000.0),
        ((CUT, CUT, CUT), (0.8, 0.25, 0.5), 0.8 * 5000.0 + 0.25 * 4000.0),
        # Ropes of the cut are gone: what is left of the cut is the rest of it.
        ((CUT, ROPES, ROPES), (0.8, 0.75, 0.5), 0.8 * 5000.0 + 0.75 * 4000.0),
        ((None, ROPES, SHORTEN), (0.0, 0.5, 0.2), 2000.0 + 100.0),
    ],
)
def test_each_part_is_worth_the_share_of_its_own_life(by, shares, money):
    assert left(by, shares) == pytest.approx(money)


def test_without_a_price_of_ropes_all_of_a_cut_lasts_as_long_as_the_shorter():
    found = left((CUT, CUT, CUT), (0.8, 0.25, 0.5), without=[ROPES])

    assert found == pytest.approx(0.25 * 9000.0)
