import numpy as np
import pytest

from inspections.projection import series


def arrange(rows, *, count, noise=0.1, installation=None):
    column = np.array(rows, dtype=float).reshape(-1, 3).T
    return series.arrange(
        series=column[0].astype(int),
        clock=column[1],
        level_mm=column[2],
        noise_mm=np.broadcast_to(noise, column.shape[1]).astype(float),
        installation=installation,
        series_count=count,
    )


def test_readings_in_no_order_come_out_in_order():
    found = arrange([(1, 2, 5), (0, 3, 9), (1, 1, 4), (0, 1, 7)], count=2)

    assert found.readings.clock.tolist() == [1, 3, 1, 2]
    assert found.readings.level_mm.tolist() == [7, 9, 4, 5]
    assert found.source.tolist() == [3, 1, 2, 0]


def test_readings_of_one_instant_become_their_weighted_mean():
    found = arrange([(0, 1, 2.0), (0, 1, 3.0)], count=1, noise=[0.1, 0.2])

    assert found.readings.level_mm == pytest.approx([(2.0 * 4 + 3.0) / 5])
    assert found.readings.noise_mm == pytest.approx([0.1 * np.sqrt(0.8)])
    assert sorted(found.outcome.tolist()) == [series.KEPT, series.MERGED]


def test_installation_is_not_merged_with_a_reading_of_its_day():
    found = arrange(
        [(0, 0, 0.1), (0, 0, 0.0)], count=1, installation=np.array([False, True])
    )

    assert found.readings.installation.tolist() == [True, False]


def test_unusable_readings_are_named_and_left_out():
    found = arrange(
        [(0, 1, 1), (0, np.nan, 1), (0, 2, np.inf), (7, 1, 1), (0, 3, 1)],
        count=1,
        noise=[0.1, 0.1, 0.1, 0.1, 0.0],
    )

    assert found.outcome.tolist() == [
        series.KEPT,
        series.NOT_FINITE,
        series.NOT_FINITE,
        series.UNKNOWN_SERIES,
        series.NO_NOISE,
    ]
    assert found.readings.clock.tolist() == [1]


def test_series_without_readings_have_empty_runs():
    found = arrange([(1, 1, 1)], count=3)

    assert found.readings.counts.tolist() == [0, 1, 0]


def test_no_readings_at_all_are_no_error():
    found = arrange([], count=2)

    assert found.readings.counts.tolist() == [0, 0]


def test_columns_of_different_length_are_refused():
    with pytest.raises(ValueError, match="a column has 1 readings; series has 2"):
        series.arrange(
            series=np.array([0, 0]),
            clock=np.array([1.0]),
            level_mm=np.array([1.0, 2.0]),
            noise_mm=np.array([0.1, 0.1]),
            series_count=1,
        )
