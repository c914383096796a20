"""A reading somebody has confirmed keeps its full weight in the fit."""

import numpy as np
import pytest

from inspections.projection import forecasting

STEADY = [(float(year), 0.2 * year) for year in range(7)]


def forecast(given, hyper, *, last):
    """Return the forecast with the last reading confirmed, or none."""
    confirmed = np.zeros(given["readings"].clock.size, dtype=bool)
    confirmed[-1] = last
    return forecasting.forecast(**given, hyper=hyper, confirmed=confirmed)


def test_jump_that_is_confirmed_is_the_level(arguments, class_values):
    given = arguments([*STEADY, (6.5, 1.9)], known=True, limit_mm=2.0)

    doubted = forecast(given, class_values, last=False)
    sure = forecast(given, class_values, last=True)

    assert (doubted.flagged[-1], sure.flagged[-1]) == (True, False)
    assert (doubted.weight[-1], sure.weight[-1]) == (pytest.approx(0.01), 1.0)
    assert doubted.level_mm[0] < 1.4
    assert sure.level_mm[0] == pytest.approx(1.9, abs=0.06)
    # what was read before tells less of what is now, and is no stray
    assert sure.level_sd_mm[0] == pytest.approx(0.1, abs=0.02)
    assert sure.weight[1:-1].max() < 0.2
    assert not sure.flagged.any()
    assert sure.quantiles_years[0, 0] < 0.1 < doubted.quantiles_years[0, 0]
    assert sure.chance_before_horizon[0] > 0.5


def test_jump_makes_no_stray_of_the_reading_before_it(arguments, class_values):
    """As seen: the line through a jump lies far above the reading just before it."""
    slow = [(0.0, 0.0), *((0.3 + year, 0.6 + 0.1 * year) for year in range(5))]
    given = arguments([*slow, (5.3, 2.2)], known=True, limit_mm=3.6)

    found = forecast(given, class_values, last=True)

    assert not found.flagged.any()
    assert found.level_mm[0] == pytest.approx(2.2, abs=0.1)


def test_confirmed_reading_that_fits_changes_nothing(arguments, class_values):
    given = arguments([*STEADY, (6.5, 1.32)], known=True, limit_mm=2.0)

    doubted = forecast(given, class_values, last=False)
    sure = forecast(given, class_values, last=True)

    assert sure.quantiles_years.tolist() == doubted.quantiles_years.tolist()


def test_confirmed_good_reading_counts_in_full_and_takes_nothing_from_others(
    arguments, class_values
):
    given = arguments([*STEADY, (6.5, 0.6)], known=True, limit_mm=2.0)

    doubted = forecast(given, class_values, last=False)
    sure = forecast(given, class_values, last=True)

    assert (doubted.weight[-1], sure.weight[-1]) == (pytest.approx(0.01), 1.0)
    assert sure.weight[1:-1].min() > 0.5
    assert 0.7 < sure.level_mm[0] < doubted.level_mm[0]


def test_confirmed_reading_amid_others_outweighs_only_what_was_before(
    arguments, class_values
):
    history = [*STEADY[:5], (4.5, 1.9), (5.5, 2.1), (6.5, 2.3)]
    given = arguments(history, known=True, limit_mm=4.0)
    confirmed = np.zeros(8, dtype=bool)
    confirmed[5] = True

    found = forecasting.forecast(**given, hyper=class_values, confirmed=confirmed)

    assert found.level_mm[0] == pytest.approx(2.35, abs=0.1)
    assert found.weight[5:].tolist() == [1.0, 1.0, 1.0]
    assert found.weight[1:5].max() < 0.5


@pytest.mark.parametrize("size", [1, 500])
def test_confirmed_readings_find_their_series_in_every_layout(
    arguments, class_values, size
):
    """Series of different lengths are laid out anew; flags must go with them."""
    plain = [[(0.0, 0.0), (1.0 + 0.01 * n, 0.2)] for n in range(size)]
    jump = [*STEADY, (6.5, 1.9)]
    given = arguments(
        *plain,
        jump,
        *plain,
        known=True,
        limit_mm=2.0,
        epochs=list(range(2 * size + 1)),
        machines=list(range(2 * size + 1)),
    )
    confirmed = np.zeros(given["readings"].clock.size, dtype=bool)
    confirmed[given["readings"].bounds[size + 1] - 1] = True

    found = forecasting.forecast(
        **given, hyper=class_values, confirmed=confirmed, series_per_chunk=64
    )

    assert found.level_mm[size] == pytest.approx(1.9, abs=0.06)
    assert not found.flagged.any()
