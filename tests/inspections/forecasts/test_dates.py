"""What may honestly be shown of a forecast."""

from datetime import date

import pytest

from inspections.forecasts import dates
from inspections.models import ForecastState

LAST = date(2026, 5, 4)


def shown(years=(3.0, 4.0, 6.0, 9.0), **changes):
    values = {
        "last_on": LAST,
        "years": years,
        "readings_count": 5,
        "known_installation": True,
        "share_learnt": 0.8,
        "chance_already": 0.0,
        "last_is_outlier": False,
    }
    return dates.show(**(values | changes))


def test_established_forecast_gives_every_date():
    found = shown()

    assert found.state == ForecastState.ESTABLISHED
    assert found.p02_on == date(2029, 5, 4)
    assert found.p10_on < found.p50_on < found.p90_on


@pytest.mark.parametrize(
    ("share", "state"),
    [
        (0.0, ForecastState.PRIOR_ONLY),
        (0.19, ForecastState.PRIOR_ONLY),
        (0.2, ForecastState.PROVISIONAL),
        (0.59, ForecastState.PROVISIONAL),
        (0.6, ForecastState.ESTABLISHED),
    ],
)
def test_state_follows_what_was_learnt(share, state):
    assert shown(share_learnt=share).state == state


def test_outlier_on_the_last_reading_suspends_the_forecast():
    found = shown(last_is_outlier=True)

    assert found.state == ForecastState.SUSPENDED
    assert (found.p02_on, found.p10_on, found.p50_on, found.p90_on) == (None,) * 4
    assert "measure again" in found.reason


def test_no_reading_gives_no_date():
    found = shown(readings_count=0)

    assert (found.state, found.p10_on) == (ForecastState.NONE, None)


def test_one_reading_without_a_known_start_gives_the_earliest_dates_only():
    found = shown(readings_count=1, known_installation=False)

    assert found.state == ForecastState.PRIOR_ONLY
    assert found.p10_on is not None
    assert (found.p50_on, found.p90_on) == (None, None)


def test_far_limit_is_beyond_and_promises_nothing():
    found = shown(years=(20.0, 25.5, 40.0, 60.0))

    assert found.state == ForecastState.BEYOND
    assert found.p10_on is None
    assert found.reason == "no limit seen within 25 years at today's rate"


def test_band_that_is_too_wide_gives_the_earliest_dates_only():
    found = shown(years=(0.5, 1.0, 4.0, 10.5))

    assert found.p10_on is not None
    assert (found.p50_on, found.p90_on) == (None, None)


def test_limit_that_was_probably_met_says_so():
    found = shown(years=(-2.0, -1.0, -0.1, 0.5), chance_already=0.6)

    assert found.state == ForecastState.REACHED
    assert found.p50_on < LAST
    assert "60 in 100" in found.reason


def test_infinite_quantile_is_no_date():
    found = shown(years=(3.0, 4.0, 6.0, float("inf")))

    assert found.p90_on is None
