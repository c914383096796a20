"""What the series of an installation have in common is what their mean shows."""

import numpy as np
import pytest

from inspections.projection import fitting
from inspections.projection.learning.together import mean_courses
from inspections.projection.observations import in_runs

YEARS = np.arange(1.0, 9.0)
COMMON = np.array([0.0, 0.3, -0.2, 0.5, -0.4, 0.1, 0.6, -0.1])
"""What the traffic of a machine did beside its average [years of wear]."""
SHARE = np.array([0.2])


def course(rate, start, *, years=YEARS, common=COMMON, own=0.0):
    levels = start + rate * (years + common) + own
    return list(zip(years.tolist(), levels.tolist(), strict=True))


def together(given, class_values):
    readings = given["readings"]
    fitted = fitting.fit(
        readings=in_runs(readings),
        hierarchy=given["hierarchy"],
        limit_mm=given["limits"].limit_mm,
        known_installation=given["known_installation"],
        hyper=class_values,
        bends=True,
    )
    _, visit = np.unique(readings.clock, return_inverse=True)
    return mean_courses(fitted=fitted, visit=visit, visit_share=SHARE), fitted


def bent(values, at=YEARS):
    """Return what is left of values when the straight line through them is taken."""
    return values - np.polyval(np.polyfit(at, values, 1), at)


def test_what_series_have_in_common_is_kept_whole(arguments, class_values):
    histories = [course(0.20, 0.3), course(0.25, 0.9), course(0.15, 0.1)]

    found, _ = together(arguments(*histories), class_values)

    assert found.count.tolist() == [8]
    assert found.age == pytest.approx(8.0 - YEARS)
    assert bent(found.level) == pytest.approx(bent(COMMON), abs=0.1)


def test_what_is_a_series_own_is_averaged_out(arguments, class_values):
    step = 0.1 * (-1.0) ** np.arange(8)
    none = np.zeros(8)
    histories = [
        course(0.2, 0.3, common=none, own=step),
        course(0.2, 0.5, common=none, own=-step),
    ]

    found, _ = together(arguments(*histories), class_values)

    # the step is half a year's wear; the rates found differ a little
    assert bent(found.level) == pytest.approx(none, abs=0.05)
    # two series alike: half of a series' bursts
    assert found.burst_share == pytest.approx([0.5], rel=0.05)


def test_noise_of_a_mean_is_the_visits_share_and_the_rest_over_the_number(
    arguments, class_values
):
    histories = [course(0.2, start, common=np.zeros(8)) for start in (0.1, 0.2, 0.3)]

    found, fitted = together(arguments(*histories), class_values)

    rate = np.exp(fitted.inferred.pooled.mean).mean()
    one = (0.1 / rate) ** 2
    assert found.variance == pytest.approx(one * (0.2 + 0.8 / 3), rel=0.02)


def test_series_missing_at_a_visit_does_not_shift_the_mean(arguments, class_values):
    partly = course(0.2, 1.5, years=YEARS[::2], common=COMMON[::2])
    histories = [course(0.2, 0.1), course(0.2, 0.4), partly]

    found, _ = together(arguments(*histories), class_values)

    assert bent(found.level) == pytest.approx(bent(COMMON), abs=0.15)
    assert (found.variance[1::2] > found.variance[::2]).all()


def test_installation_and_strays_are_left_out(arguments, class_values):
    stray = np.where(YEARS == 4.0, 2.5, 0.0)
    none = np.zeros(8)
    begun = [(0.0, 0.0)]
    histories = [
        begun + course(0.2, 0.0, common=none, own=stray),
        begun + course(0.2, 0.0, common=none),
    ]

    found, fitted = together(arguments(*histories, known=True), class_values)

    assert fitted.flagged.sum() == 1
    assert found.count.tolist() == [8]
    assert bent(found.level) == pytest.approx(none, abs=0.15)


def test_series_alone_in_its_installation_has_no_mean(arguments, class_values):
    given = arguments(
        course(0.2, 0.1), course(0.2, 0.2), course(0.2, 0.3), epochs=[0, 1, 1]
    )

    found, _ = together(given, class_values)

    assert found.count.tolist() == [0, 8]
