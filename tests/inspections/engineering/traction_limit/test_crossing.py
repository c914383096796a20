from math import exp, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from inspections.engineering.traction_limit.crossing import first_crossing_mm
from inspections.engineering.validity import OutsideValidity


@given(root=st.floats(0.001, 9.9), steepness=st.floats(0.01, 50.0))
def test_crossing_is_that_of_another_root_finder(root, steepness):
    def surplus(depth):
        return exp(-steepness * depth) - exp(-steepness * root)

    found = first_crossing_mm(surplus=surplus, depths_mm=(0.0, 10.0))

    assert found == pytest.approx(brentq(surplus, 0.0, 10.0, xtol=1e-12), abs=2e-9)


@given(edge=st.floats(0.5, 2.5), drop=st.floats(1e-6, 3.0))
def test_crossing_on_a_cliff_is_bracketed(edge, drop):
    def surplus(depth):
        return drop / 2.0 - drop * sqrt(max(depth - edge, 0.0))

    found = first_crossing_mm(surplus=surplus, depths_mm=(0.0, 1.0, 2.0, 3.0))

    assert found == pytest.approx(edge + 0.25, abs=2e-9)
    assert surplus(found) >= 0.0


def test_first_of_two_crossings_is_taken():
    found = first_crossing_mm(
        surplus=lambda depth: (depth - 1.0) * (depth - 2.0),
        depths_mm=(0.0, 1.5, 3.0),
    )

    assert found == pytest.approx(1.0)


def test_root_met_exactly_is_found():
    assert first_crossing_mm(
        surplus=lambda depth: 1.0 - depth, depths_mm=(0.0, 2.0)
    ) == pytest.approx(1.0, abs=2e-9)


def test_jump_is_found_where_it_is():
    def surplus(depth):
        return 1.0 if depth < 0.7 else -1.0

    assert first_crossing_mm(surplus=surplus, depths_mm=(0.0, 2.0)) == pytest.approx(
        0.7, abs=2e-9
    )


@pytest.mark.parametrize("bottom", [0.9, 1.1, 1.7])
def test_dip_between_the_depths_is_found(bottom):
    found = first_crossing_mm(
        surplus=lambda depth: (depth - bottom) ** 2 - 1e-6,
        depths_mm=(0.0, 0.5, 1.0, 2.0, 3.0),
    )

    assert found == pytest.approx(bottom - 1e-3, abs=2e-9)


@pytest.mark.parametrize("bottom", [0.0, 1.3, 3.0])
def test_dip_that_stays_above_zero_is_no_crossing(bottom):
    found = first_crossing_mm(
        surplus=lambda depth: (depth - bottom) ** 2 + 1e-6,
        depths_mm=(0.0, 1.0, 2.0, 3.0),
    )

    assert found is None


def test_no_crossing_is_none():
    assert first_crossing_mm(surplus=lambda _: 1.0, depths_mm=(0.0, 1.0)) is None


def test_surplus_must_begin_in_order():
    with pytest.raises(OutsideValidity, match="surplus is -1"):
        first_crossing_mm(surplus=lambda _: -1.0, depths_mm=(0.0, 1.0))
