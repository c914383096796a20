"""Every kind of bad input has a stated outcome; none spoils its neighbour."""

import numpy as np
import pytest

from inspections.projection import forecasting

STEADY = [(0.5, 0.1), (1.5, 0.3), (2.5, 0.5), (3.5, 0.7), (4.5, 0.9)]


def test_all_answers_are_finite_or_said_to_be_missing(arguments, class_values):
    odd = (
        STEADY,
        [(t, 0.7) for t in range(5)],
        [*STEADY[:4], (4.5, 90.0)],
        [(t, 2.0 - 0.3 * t) for t in range(6)],
        [(1.0, 4.5)],
        [],
        [(1.0, -50.0), (2.0, 1e6)],
        [(0.0, 0.0), (1e-9, 2.0)],
    )

    answer = forecasting.forecast(**arguments(*odd), hyper=class_values)

    made = answer.state == forecasting.FORECAST
    assert made.tolist() == [True] * 5 + [False] * 2 + [True]
    # two levels a kilometre apart leave no deviation that could be
    assert answer.state[6] == forecasting.NOT_COMPUTABLE
    assert np.isfinite(answer.quantiles_years[:, made]).all()
    assert np.isposinf(answer.quantiles_years[:, ~made]).all()
    assert np.all(np.diff(answer.quantiles_years[:, made], axis=0) >= 0)
    for name in ("chance_before_horizon", "chance_already", "share_learnt"):
        value = getattr(answer, name)
        assert ((value >= 0) & (value <= 1)).all(), name


def test_series_without_readings_say_so(arguments, class_values):
    answer = forecasting.forecast(**arguments(STEADY, []), hyper=class_values)

    assert answer.state.tolist() == [forecasting.FORECAST, forecasting.NO_READING]


@pytest.mark.parametrize("limit", [np.nan, 0.0, -1.0, np.inf])
def test_unusable_limit_is_a_state_not_a_date(arguments, class_values, limit):
    given = arguments(STEADY, STEADY, epochs=[0, 1], machines=[0, 1])
    alone = forecasting.forecast(**given, hyper=class_values).quantiles_years[:, 0]
    given["limits"].limit_mm[1] = limit

    answer = forecasting.forecast(**given, hyper=class_values)

    assert answer.state.tolist() == [forecasting.FORECAST, forecasting.NO_LIMIT]
    assert answer.quantiles_years[:, 0] == pytest.approx(alone, rel=1e-5)


def test_one_stray_reading_is_flagged_and_not_followed(arguments, class_values):
    stray = [*STEADY[:2], (2.0, 1.6), *STEADY[2:]]
    clean = forecasting.forecast(**arguments(STEADY), hyper=class_values)

    answer = forecasting.forecast(**arguments(stray), hyper=class_values)

    assert answer.flagged.tolist() == [False, False, True, False, False, False]
    assert answer.quantiles_years[2] == pytest.approx(clean.quantiles_years[2], rel=0.1)


def test_limit_already_passed_is_a_chance_near_one(arguments, class_values):
    over = [(1.0, 3.4), (2.0, 3.6), (3.0, 3.9)]

    answer = forecasting.forecast(**arguments(over), hyper=class_values)

    assert answer.chance_already[0] > 0.99
    assert answer.quantiles_years[3, 0] < 0


def test_wear_that_only_heals_is_forecast_late_not_never(arguments, class_values):
    healing = [(float(t), 1.0 - 0.05 * t) for t in range(6)]

    answer = forecasting.forecast(
        **arguments(healing, STEADY, epochs=[0, 1], machines=[0, 1]),
        hyper=class_values,
    )

    assert answer.quantiles_years[2, 0] > 1.5 * answer.quantiles_years[2, 1]
    assert answer.rate_mm_per_clock[0] > 0


def test_ten_thousand_series_with_nothing_are_answered(arguments, class_values):
    given = arguments(
        *[[] for _ in range(10_000)],
        epochs=list(range(10_000)),
        machines=list(range(10_000)),
    )

    answer = forecasting.forecast(**given, hyper=class_values)

    assert (answer.state == forecasting.NO_READING).all()


def test_ragged_chunks_give_what_one_chunk_gives(arguments, class_values):
    histories = [[(t, 0.1 * k + 0.2 * t) for t in range(1, 2 + k)] for k in range(9)]
    given = arguments(
        *histories, epochs=[0, 0, 1, 1, 2, 2, 3, 3, 3], machines=[0, 1, 1, 2]
    )
    whole = forecasting.forecast(**given, hyper=class_values)

    parts = forecasting.forecast(**given, hyper=class_values, series_per_chunk=2)

    assert parts.quantiles_years == pytest.approx(whole.quantiles_years, rel=1e-4)


def test_uncertain_limit_widens_the_date_both_ways(arguments, class_values):
    sure = forecasting.forecast(**arguments(STEADY), hyper=class_values)

    unsure = forecasting.forecast(
        **arguments(STEADY, limit_sd_mm=0.6), hyper=class_values
    )

    assert unsure.quantiles_years[1, 0] < sure.quantiles_years[1, 0]
    assert unsure.quantiles_years[3, 0] > sure.quantiles_years[3, 0]


def test_share_of_the_limit_says_what_to_measure_first(arguments, class_values):
    shares = [
        forecasting.forecast(
            **arguments(STEADY, limit_sd_mm=deviation), hyper=class_values
        ).limit_share[0]
        for deviation in (0.0, 0.2, 1.5)
    ]

    assert shares[0] == 0.0
    assert 0.0 < shares[1] < 0.5 < shares[2] <= 1.0


def test_arrays_that_do_not_fit_are_refused(arguments, class_values):
    given = arguments(STEADY, STEADY, epochs=[1, 0], machines=[0, 0])

    with pytest.raises(ValueError, match="epoch_of_series falls"):
        forecasting.forecast(**given, hyper=class_values)
