import numpy as np
import pytest
from scipy.stats import studentized_range

from inspections.engineering.tension import (
    range_quantile,
    tension_spread,
    tension_swing,
)
from inspections.engineering.validity import OutsideValidity


@pytest.mark.parametrize("count", [2, 3, 5, 8, 12])
@pytest.mark.parametrize("probability", [0.05, 0.5, 0.99])
def test_range_of_equal_ropes_is_that_of_a_reference_library(count, probability):
    # The studentised range with its deviation known; SciPy takes 10^6 as known.
    expected = studentized_range.ppf(probability, count, 1e6)

    found = range_quantile(count=count, probability=probability)

    assert found == pytest.approx(expected, rel=2e-4)


def test_six_equal_grooves_show_a_quarter_millimetre_at_a_tenth_of_noise():
    chances = (np.arange(400) + 0.5) / 400

    mean = np.mean([range_quantile(count=6, probability=p) for p in chances[::8]])

    assert 0.10 * mean == pytest.approx(0.25, abs=0.005)


def test_ten_percent_of_the_lowest_is_often_noise():
    # Four ropes in a hundred parts noise: half the sound sets differ that much.
    median = range_quantile(count=6, probability=0.5)

    assert 0.04 * median == pytest.approx(0.10, abs=0.01)


def test_spread_beyond_noise_is_told_apart():
    even = tension_spread(tensions_n=(5000.0, 5200.0, 4900.0), gauge_sd_ratio=0.03)
    uneven = tension_spread(tensions_n=(5000.0, 6500.0, 4000.0), gauge_sd_ratio=0.03)

    assert not even.beyond_noise
    assert uneven.beyond_noise
    assert uneven.range_ratio == pytest.approx(0.625)
    assert uneven.deviation_ratio == pytest.approx(1333.33 / 5166.67, abs=1e-4)


def test_rope_only_set_too_tight_does_not_swing():
    swing = tension_swing(
        bottom_n=(6000.0, 4500.0, 4500.0),
        top_n=(5600.0, 4200.0, 4200.0),
        gauge_sd_ratio=0.03,
    )

    assert swing.greatest[1] == pytest.approx(0.0)
    assert not swing.is_unequal


def test_swing_within_gauge_noise_says_nothing():
    swing = tension_swing(
        bottom_n=(5400.0, 4600.0), top_n=(5000.0, 5000.0), gauge_sd_ratio=0.04
    )

    assert abs(swing.greatest[1]) < swing.noise_ratio
    assert not swing.is_unequal


def test_swing_below_its_limit_is_no_matter_however_fine_the_gauge():
    swing = tension_swing(
        bottom_n=(5200.0, 4800.0), top_n=(5000.0, 5000.0), gauge_sd_ratio=0.001
    )

    assert not swing.is_unequal


@pytest.mark.parametrize("tensions", [(), (5000.0,)])
def test_one_rope_has_no_spread(tensions):
    with pytest.raises(OutsideValidity, match="tensions_n is"):
        tension_spread(tensions_n=tensions, gauge_sd_ratio=0.03)


@pytest.mark.parametrize(
    ("bottom", "top"), [((5000.0,), (5000.0,)), ((5000.0, 5000.0), (5000.0,))]
)
def test_both_ends_are_read_on_every_rope(bottom, top):
    with pytest.raises(OutsideValidity, match="top_n is 1"):
        tension_swing(bottom_n=bottom, top_n=top, gauge_sd_ratio=0.03)


def test_slack_rope_is_not_a_tension():
    with pytest.raises(OutsideValidity, match="tensions_n_2 is 0"):
        tension_spread(tensions_n=(5000.0, 0.0), gauge_sd_ratio=0.03)


@pytest.mark.parametrize("probability", [0.0, 1.0, float("nan")])
def test_probability_is_between_none_and_all(probability):
    with pytest.raises(OutsideValidity, match="probability is"):
        range_quantile(count=5, probability=probability)


def test_one_reading_has_no_range():
    with pytest.raises(OutsideValidity, match="count is 1"):
        range_quantile(count=1, probability=0.5)
