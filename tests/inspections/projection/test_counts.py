import numpy as np
import pytest
from scipy.special import betaincinv

from inspections.projection import counts
from inspections.projection.counts import CountClass, Counts

CLASS = CountClass(
    exponent=2.0, rate=0.1, machine_shape=4.0, rope_shape=10.0, detection=1.0
)


@pytest.mark.parametrize("shape", [3.0, 8.0, 20.0])
@pytest.mark.parametrize("probability", [0.1, 0.5, 0.9])
def test_beta_prime_quantile_agrees_with_the_exact_one(shape, probability):
    exact = betaincinv(shape, 6.0, probability)

    found = counts.beta_prime_quantile(probability, np.array([shape]), np.array([6.0]))

    assert found == pytest.approx([exact / (1 - exact)], rel=0.02)


def forecast(rows, machines=1):
    bounds = np.concatenate([[0], np.cumsum([len(row) for row in rows])])
    flat = [point for row in rows for point in row]
    given = Counts(
        clock=np.array([t for t, _ in flat], dtype=float),
        count=np.array([k for _, k in flat], dtype=float),
        bounds=bounds,
        machine=np.zeros(len(rows), dtype=int),
        machines=machines,
    )
    return counts.forecast(
        counts=given,
        limit=np.full(len(rows), 10.0),
        learnt=CLASS,
        probabilities=(0.1, 0.5, 0.9),
    )


def test_rope_over_its_limit_has_no_time_left():
    assert forecast([[(4.0, 11)]])[:, 0].tolist() == [0.0, 0.0, 0.0]


def test_more_breaks_leave_less_time():
    found = forecast([[(4.0, 2)], [(4.0, 6)]])

    assert (found[:, 1] < found[:, 0]).all()


def test_count_that_falls_back_is_not_believed():
    fallen = forecast([[(3.0, 6), (4.0, 4)]])

    assert fallen == pytest.approx(forecast([[(3.0, 6), (4.0, 6)]]))


def test_ropes_never_looked_at_are_answered_as_new():
    found = forecast([[], []])

    assert np.isfinite(found).all()
    assert (np.diff(found, axis=0) > 0).all()


def test_fleet_without_a_broken_wire_still_learns_something_finite():
    learnt = counts.learn(
        counts=Counts(
            clock=np.array([1.0, 2.0]),
            count=np.zeros(2),
            bounds=np.array([0, 2]),
            machine=np.array([0]),
            machines=1,
        )
    )

    assert learnt.rate > 0
    assert np.isfinite([learnt.exponent, learnt.machine_shape]).all()
