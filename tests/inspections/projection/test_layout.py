"""Runs and columns hold the same readings; sums and spreads are the same in both."""

import numpy as np
import pytest

from inspections.projection import layout


@pytest.fixture
def counts():
    return np.array([5, 3, 3, 1])


@pytest.fixture
def runs(counts):
    return layout.Runs(starts=np.cumsum(counts) - counts, counts=counts)


@pytest.fixture
def columns(counts):
    return layout.columns(counts)


@pytest.fixture
def at(runs, columns):
    """Return where each reading of the columns lies in the runs."""
    return layout.places(laid=columns, starts=runs.starts)


def test_every_reading_has_one_place_in_the_columns(at, counts):
    assert sorted(at.tolist()) == list(range(counts.sum()))
    # the first readings of all, then the second of those that have one, ...
    assert at[:4].tolist() == [0, 5, 8, 11]
    assert at[4:7].tolist() == [1, 6, 9]


def test_sums_over_series_are_the_same(runs, columns, at):
    values = np.random.default_rng(1).standard_normal(at.size)

    assert columns.sum(values[at]) == pytest.approx(runs.sum(values))


def test_values_are_spread_to_the_same_readings(runs, columns, at, counts):
    values = np.arange(counts.size) * 1.5

    assert columns.spread(values).tolist() == runs.spread(values)[at].tolist()


def test_first_last_and_owner_of_readings_are_the_same(runs, columns, at):
    everywhere = np.arange(at.size)

    assert at[columns.first].tolist() == runs.first.tolist()
    assert at[columns.last].tolist() == runs.last.tolist()
    assert columns.series_of(everywhere).tolist() == runs.series_of(at).tolist()
