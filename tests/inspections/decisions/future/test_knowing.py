"""By which day people plan: held against normal theory that is worked out here."""

import numpy as np
import pytest
from scipy import stats

from inspections.decisions.future import knowing
from inspections.decisions.future.knowing import P2, Learning

GIVEN = Learning(spread=0.35, unevenness=0.15)


def test_what_is_open_is_the_variance_of_a_walk_with_a_rate_that_is_read():
    """Walks of many lives: the rate is estimated as Bayes does, from what they wore."""
    rng = np.random.default_rng(7)
    lives, passed = 200_000, 0.4
    rate = 1.0 + GIVEN.spread * rng.standard_normal(lives)
    worn = passed * rate + GIVEN.unevenness * np.sqrt(passed) * rng.normal(size=lives)
    rest = 1.0 - passed
    later = rest * rate + GIVEN.unevenness * np.sqrt(rest) * rng.normal(size=lives)

    # Left over after the best straight-line guess of what is yet to come.
    unknown = later - np.polyval(np.polyfit(worn, later, 1), worn)

    found = knowing.still_open(used=np.array([passed]), learning=GIVEN)
    assert found[0] == pytest.approx(unknown.var(), rel=0.02)


@pytest.mark.parametrize("k", [1.0, 0.6, 0.1])
def test_the_limit_is_met_before_the_told_day_in_two_of_a_hundred(k):
    rng = np.random.default_rng(3)
    z, read = rng.standard_normal((2, 400_000))

    told = knowing.told(z, read, k)

    assert (z < told).mean() == pytest.approx(0.02, abs=0.0011)
    known = np.sqrt(1.0 - k * k)
    quantiles = np.quantile(told, [0.1, 0.5, 0.9])
    expected = stats.norm.ppf([0.1, 0.5, 0.9]) * known + stats.norm.ppf(0.02) * k
    assert quantiles == pytest.approx(expected, abs=0.02)


def share(*, life=10.0, lead=0.0, used=0.0, learning=GIVEN):
    left = life * (1.0 - used)
    [found] = knowing.shares_open(
        used=np.array([used]),
        middle=np.array([left]),
        planned=left * np.exp(-learning.spread * P2 * knowing.SHARES)[None],
        lead_years=lead,
        learning=[learning],
    )
    return found


def test_what_is_told_agrees_with_what_is_read_by_the_day_of_its_order():
    k = share(lead=0.5)

    ordered = (10.0 * np.exp(-GIVEN.spread * P2 * k) - 0.5) / 10.0
    then, now = knowing.still_open(used=np.array([ordered, 0.0]), learning=GIVEN)
    assert k == pytest.approx(np.sqrt(then / now), abs=0.005)
    assert 0.1 < k < 0.5


def test_a_longer_lead_time_leaves_more_open():
    assert share(lead=0.0) < share(lead=1.0) < share(lead=4.0)


def test_work_that_is_ordered_today_is_planned_by_what_is_known_today():
    assert share(life=10.0, lead=9.0) == 1.0
    assert share(used=1.0) == 1.0
    assert share(life=0.0) == 1.0


def test_uneven_wear_is_planned_with_more_time_to_spare():
    even = Learning(spread=0.35, unevenness=0.03)

    assert share(learning=even) < share()


def test_each_of_several_places_has_the_share_that_it_has_alone():
    even = Learning(spread=0.35, unevenness=0.03)
    alone = [share(), share(learning=even), share(life=0.0), share(used=0.5)]

    planned = [
        life * np.exp(-of.spread * P2 * knowing.SHARES)
        for life, of in ((10.0, GIVEN), (10.0, even), (0.0, GIVEN), (5.0, GIVEN))
    ]
    found = knowing.shares_open(
        used=np.array([0.0, 0.0, 0.0, 0.5]),
        middle=np.array([10.0, 10.0, 0.0, 5.0]),
        planned=np.stack(planned),
        lead_years=0.0,
        learning=[GIVEN, even, GIVEN, GIVEN],
    )

    assert found.tolist() == alone
    assert len(set(alone)) == 4
