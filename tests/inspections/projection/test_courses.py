import numpy as np
import pytest

from inspections.projection import courses, forecasting

STEADY = [(t / 2, 0.1 * t) for t in range(1, 12)]


def course(given, values, ahead):
    return courses.course(
        readings=given["readings"],
        hierarchy=given["hierarchy"],
        limit_mm=given["limits"].limit_mm,
        known_installation=given["known_installation"],
        hyper=values,
        ahead=np.array([ahead]),
    )


def test_band_widens_with_time_and_follows_the_wear(arguments, class_values):
    given = arguments(STEADY)

    near, far = (course(given, class_values, t).level_mm[:, 0] for t in (0.0, 6.0))

    assert near[1] == pytest.approx(1.1, abs=0.08)
    assert far[1] == pytest.approx(1.1 + 6 * 0.2, abs=0.15)
    assert far[2] - far[0] > 2 * (near[2] - near[0])


def test_curve_meets_the_limit_when_the_forecast_says(arguments, class_values):
    given = arguments(STEADY)
    answer = forecasting.forecast(**given, hyper=class_values)

    there = course(given, class_values, float(answer.quantiles_years[2, 0]))

    assert there.level_mm[1, 0] == pytest.approx(3.0, abs=0.1)
