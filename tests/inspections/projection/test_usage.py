import numpy as np
import pytest

from inspections.projection import usage


def forecast(*counters):
    lengths = [len(times) for times, _ in counters]
    return usage.forecast_usage(
        years=np.concatenate([np.asarray(t, float) for t, _ in counters]),
        count=np.concatenate([np.asarray(c, float) for _, c in counters]),
        bounds=np.concatenate([[0], np.cumsum(lengths)]),
    )


def test_steady_counter_gives_its_yearly_usage():
    times = np.linspace(0, 5, 21)

    found = forecast((times, 3.0 * times), (times, 3.1 * times))

    assert np.exp(found.log_per_year[0]) == pytest.approx(3.0, rel=0.02)
    assert found.growth == pytest.approx([0.0, 0.0], abs=0.01)
    assert found.known.all()


def test_growing_usage_is_carried_on():
    times = np.linspace(0, 6, 25)

    found = forecast((times, np.expm1(0.1 * times) / 0.1))

    assert found.growth[0] > 0.04
    assert found.calendar(np.array([5.0]))[0] < 5.0


def test_machine_without_counter_gets_the_usage_of_the_fleet():
    times = np.linspace(0, 4, 17)

    found = forecast((times, 2.0 * times), ([0.0, 0.1], [0.0, 0.2]), ([], []))

    assert found.known.tolist() == [True, False, False]
    assert np.exp(found.log_per_year[1:]) == pytest.approx([2.0, 2.0], rel=0.2)
    assert (found.log_variance[1:] > found.log_variance[0]).all()


def test_calendar_and_steady_years_invert_each_other():
    times = np.linspace(0, 6, 25)
    found = forecast((times, np.expm1(0.1 * times) / 0.1))

    for years in (0.5, 3.0, 12.0, 30.0):
        steady = found.steady(np.array([years]))
        assert found.calendar(steady) == pytest.approx([years])
