"""Round places on an axis."""

from datetime import date
from itertools import pairwise

import pytest

from reports.content import axes


@pytest.mark.parametrize(
    ("low", "high", "places"),
    [
        (0.0, 4.3, (0.0, 1.0, 2.0, 3.0, 4.0)),
        (0.0, 0.8, (0.0, 0.2, 0.4, 0.6, 0.8)),
        (-1.0, 1.0, (-1.0, -0.5, 0.0, 0.5, 1.0)),
        (590.2, 600.1, (592.0, 594.0, 596.0, 598.0, 600.0)),
    ],
)
def test_places_are_round_and_within(low, high, places):
    assert axes.nice_positions(low=low, high=high) == places


def test_an_empty_range_is_refused():
    with pytest.raises(ValueError, match="span is 0; it must be positive"):
        axes.nice_positions(low=1.0, high=1.0)


def test_years_begin_on_the_first_of_january_within_the_range():
    years = axes.year_starts(first=date(2021, 1, 2), last=date(2024, 1, 1))

    assert years == (date(2022, 1, 1), date(2023, 1, 1), date(2024, 1, 1))


def test_many_years_are_thinned_out_evenly():
    years = axes.year_starts(first=date(1990, 1, 1), last=date(2030, 1, 1), at_most=6)

    assert len(years) <= 6
    assert len({later.year - year.year for year, later in pairwise(years)}) == 1
