"""The worth of knowing first, held against integrals that are worked out here."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from inspections.decisions import measuring
from inspections.decisions.future import knowing
from tests.inspections.decisions.test_comparison import SOON, compared

DRAWS = 200_000


def test_choosing_by_what_is_found_saves_what_the_integral_says():
    """One option costs 10 whatever is found, the other 10 + 4 m: E min = -4 φ(0)."""
    blur = np.random.default_rng(5).standard_normal(DRAWS)
    costs = np.stack([np.full(DRAWS, 10.0), 10.5 + 4.0 * blur])

    saves, choice, _ = measuring.saving(unmeasured=costs, measured=costs, blur=blur)

    # 10.5 + 4 m lies below 10 where m < -1/8; the unit normal loss there.
    expected = 4.0 * (stats.norm.pdf(0.125) - 0.125 * stats.norm.sf(0.125))
    assert choice == 0
    assert saves == pytest.approx(expected, rel=0.03)


def test_what_changes_no_choice_is_worth_nothing():
    blur = np.random.default_rng(5).standard_normal(DRAWS)
    costs = np.stack([10.0 + blur, 30.0 + blur])

    saves, *_ = measuring.saving(unmeasured=costs, measured=costs, blur=blur)

    assert saves == pytest.approx(0.0, abs=1e-9)


def test_chance_alone_saves_nothing():
    rng = np.random.default_rng(8)
    found = []
    for _ in range(40):
        costs = 100.0 + 50.0 * rng.standard_normal((6, 500))
        costs[0] -= 30.0
        blur = rng.standard_normal(500)
        found.append(measuring.saving(unmeasured=costs, measured=costs, blur=blur)[0])

    assert np.mean(found) < 1.0


@pytest.mark.parametrize("is_known", [True, False])
@pytest.mark.parametrize("share", [0.1, 0.8])
def test_measured_or_not_two_of_a_hundred_limits_come_before_the_plan(is_known, share):
    z, read, blur = np.random.default_rng(9).standard_normal((3, 400_000))

    told = knowing.told_beside(z, read, 0.6, blur, share, is_known=is_known)

    own = knowing.beside(z, blur, share)
    assert own.std() == pytest.approx(1.0, abs=0.01)
    assert (own < told).mean() == pytest.approx(0.02, abs=0.0011)


def blurred(share):
    return tuple(
        replace(each, measure_first="car_mass_kg", limit_share=share) for each in SOON
    )


def test_the_comparison_says_what_weighing_first_would_save():
    found = compared(ahead=blurred(0.9)).measuring

    assert (found.field, found.dates) == ("car_mass_kg", 2)
    assert found.saves > 0.0
    assert found.choice in {course.kind for course in compared().courses}


def test_less_is_saved_where_less_is_blurred_and_nothing_is_said_of_nothing():
    much, little = (
        compared(ahead=blurred(share), draws=4000).measuring.saves
        for share in (1.0, 0.05)
    )

    assert much > little >= 0.0
    assert compared().measuring is None


def test_a_worth_of_measuring_moves_no_course():
    with_it = compared(ahead=blurred(0.9))

    assert with_it.courses == compared().courses
