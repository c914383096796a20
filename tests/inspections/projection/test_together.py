import numpy as np
import pytest
from scipy import stats

from inspections.projection import together

MACHINES, PLACES, PERIODS = 60, 4, 40


def drawn(*, on_machine, in_class, spread=1.0, lean=0.0):
    """Chances that were given to readings whose misses hang together as asked."""
    rng = np.random.default_rng(11)
    shape = (PERIODS, MACHINES, PLACES)
    z = (
        np.sqrt(in_class) * rng.standard_normal((PERIODS, 1, 1))
        + np.sqrt(on_machine) * rng.standard_normal((PERIODS, MACHINES, 1))
        + np.sqrt(1.0 - in_class - on_machine) * rng.standard_normal(shape)
    )
    period, machine, _ = np.indices(shape)
    return together.of_class(
        chance=stats.norm.cdf(lean + spread * z).ravel(),
        machine=machine.ravel(),
        read_years=2000.0 + 0.5 * period.ravel(),
        day=period.ravel(),
    )


@pytest.mark.parametrize(("on_machine", "in_class"), [(0.5, 0.1), (0.0, 0.0)])
def test_correlations_are_those_that_the_misses_were_drawn_with(on_machine, in_class):
    found = drawn(on_machine=on_machine, in_class=in_class)

    assert found.within == pytest.approx(on_machine + in_class, abs=0.05)
    assert found.between == pytest.approx(in_class, abs=0.04)
    assert found.pairs == PERIODS * MACHINES * 6
    assert found.periods == PERIODS


def test_forecasts_that_lean_or_are_too_narrow_do_not_hang_together_for_it():
    found = drawn(on_machine=0.3, in_class=0.0, spread=1.6, lean=0.8)

    assert found.within == pytest.approx(0.3, abs=0.03)
    assert found.between == pytest.approx(0.0, abs=0.01)


def test_with_nothing_to_compare_nothing_is_said():
    found = together.of_class(
        chance=np.array([0.3, 0.7]),
        machine=np.array([1, 1]),
        read_years=np.array([2000.0, 2001.0]),
        day=np.array([1, 366]),
    )

    assert (found.pairs, found.periods) == (0, 0)
    assert np.isnan([found.within, found.between]).all()
