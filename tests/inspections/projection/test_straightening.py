import numpy as np
import pytest
from scipy.integrate import quad

from inspections.projection import straightening


@pytest.mark.parametrize("theta", [-1.0, 0.0, 0.5, 1.5])
def test_straight_level_is_the_integral_of_the_inverse_rate(theta):
    limit, level = 2.0, 0.7

    def inverse(x):
        return np.exp(-theta * x / limit)

    expected = limit * quad(inverse, 0, level)[0] / quad(inverse, 0, limit)[0]

    found = straightening.straighten(
        level=np.array([level]), limit=np.array([limit]), curvature=np.array([theta])
    )

    assert found == pytest.approx([expected], abs=1e-3)


@pytest.mark.parametrize("theta", [-1.0, 0.0, 1.5])
def test_limit_stays_where_it_is_and_the_inverse_returns(theta):
    level = np.array([-0.1, 0.0, 0.5, 2.0, 2.3])
    given = {"limit": np.full(5, 2.0), "curvature": np.full(5, theta)}

    straight = straightening.straighten(level=level, **given)

    assert straight[3] == pytest.approx(2.0)
    assert straightening.level_of(straight=straight, **given) == pytest.approx(level)


def test_unknown_level_stays_unknown():
    found = straightening.straighten(
        level=np.array([np.nan]), limit=np.array([2.0]), curvature=np.array([0.3])
    )

    assert np.isnan(found).all()
