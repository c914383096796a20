"""Power-law processes: the exponent that broken wires are counted with.

Valve seats: Meeker & Escobar (1998), 41 engines, 48 replacements; estimates 1.3996 and
553.64 days (SAS and the book, from memory). Growth of one system: the textbook
Crow-AMSAA example (MIL-HDBK-189), 0.6142 and 0.4239 (from memory). Data: see
fixtures/published/README.md.
"""

import numpy as np
import pytest

from inspections.projection import counts
from tests.published import series_of


def maximum_likelihood(*, failures, ends):
    """Return exponent and scale of pooled power-law processes observed to ``ends``."""
    grid = np.linspace(0.3, 3.0, 270_001)
    n = failures.size
    total = np.array([np.sum(ends**b) for b in grid[::1000]])
    logs = np.log(failures).sum()

    def score(b, whole):
        return n * np.log(b) - n * np.log(whole) + (b - 1) * logs

    near = grid[::1000][np.argmax(score(grid[::1000], total))]
    fine = near + np.linspace(-0.02, 0.02, 4001)
    whole = np.array([np.sum(ends**b) for b in fine])
    best = fine[np.argmax(score(fine, whole))]
    return best, (np.sum(ends**best) / n) ** (1 / best)


@pytest.fixture(scope="module")
def valve_seats():
    engine, days, replaced = series_of.columns("valve_seats.csv")
    return engine, days, replaced == 1


def test_valve_seats_give_the_published_estimates(valve_seats):
    engine, days, replaced = valve_seats

    exponent, scale = maximum_likelihood(failures=days[replaced], ends=days[~replaced])

    assert np.unique(engine).size == 41
    assert replaced.sum() == 48
    assert exponent == pytest.approx(1.3996, abs=5e-5)
    assert scale == pytest.approx(553.64, abs=0.05)


def test_exponent_from_thirty_day_inspections_is_near_that_of_exact_days(valve_seats):
    """The conditional likelihood knows neither engine nor rate, only which of its
    inspection intervals each replacement fell into."""
    engine, days, replaced = valve_seats
    engines, rope = np.unique(engine, return_inverse=True)
    ends = np.array([days[(engine == e) & ~replaced][0] for e in engines])
    steps = [np.unique(np.append(np.arange(30.0, end, 30.0), end)) for end in ends]
    index = np.repeat(np.arange(engines.size), [s.size for s in steps])
    end = np.concatenate(steps)
    begin = np.concatenate([np.append(0.0, s[:-1]) for s in steps])
    increment = np.zeros(end.size)
    for number, day in zip(rope[replaced], days[replaced], strict=True):
        increment[(index == number) & (begin < day) & (day <= end)] += 1

    evidence = counts.conditional_log_likelihood(
        increment=increment, begin=begin, end=end, rope=index
    )

    assert increment.sum() == 48
    assert counts.EXPONENTS[np.argmax(evidence)] == pytest.approx(1.3996, abs=0.15)


def test_crow_amsaa_estimates_are_those_published():
    (times,) = series_of.columns("system_growth.csv")

    exponent = times.size / np.sum(np.log(times[-1] / times))
    scale = times.size / times[-1] ** exponent

    assert times.size == 22
    assert exponent == pytest.approx(0.6142, abs=5e-5)
    assert scale == pytest.approx(0.4239, abs=5e-5)
