"""Lives of parts yet to come, held against wear that is integrated step by step."""

import numpy as np
import pytest
from scipy import integrate, optimize

from inspections.decisions.future.renewed import median_life
from inspections.decisions.records import ClassLearnt
from tests.inspections.decisions.machines import ahead


@pytest.mark.parametrize("depth", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("curvature", [-0.7, 0.0, 0.5, 1.5])
def test_a_bent_class_has_one_life_wherever_its_seat_stands_now(curvature, depth):
    """The rate trebles, say, on the way to the limit: dx/dt = r(x), by quadrature."""
    limit, as_new = 2.0, 0.1

    def rate(level):
        return as_new * np.exp(curvature * level / limit)

    years, _ = integrate.quad(lambda level: 1.0 / rate(level), 0.0, limit)
    level = depth * limit

    found = median_life(
        limit=ahead(limit=limit, level=level, rate_per_year=rate(level)),
        of=ClassLearnt(curvature=curvature),
    )

    assert found == pytest.approx(years, rel=1e-6)


@pytest.mark.parametrize("age", [3.0, 7.0])
def test_a_count_that_grows_as_a_power_has_one_life_at_any_age(age):
    def count(years):
        return 0.4 * years**2.2

    years = optimize.brentq(lambda t: count(t) - 60.0, 0.1, 100.0)
    rate = (count(age + 1e-6) - count(age - 1e-6)) / 2e-6

    found = median_life(
        limit=ahead(
            "broken_wires", limit=60.0, level=count(age), rate_per_year=float(rate)
        ),
        of=ClassLearnt(exponent=2.2),
    )

    assert found == pytest.approx(years, rel=1e-5)


def test_what_is_not_known_to_wear_has_no_life():
    with pytest.raises(ValueError, match="seat_depth/groove 1 has no limit or rate"):
        median_life(limit=ahead(rate_per_year=None), of=ClassLearnt())
