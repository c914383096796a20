from math import log, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from inspections.engineering.traction import (
    LoadCase,
    exponent,
    limit_ratio,
    margin,
    utilisation,
)
from inspections.engineering.validity import OutsideValidity


@pytest.mark.parametrize(
    ("factors", "angles"), [((0.2,), (2.88,)), ((0.12, 0.19), (2.4, 3.2))]
)
def test_limit_is_the_capstan_equation_integrated(factors, angles):
    bounds = np.cumsum((0.0, *angles))
    tension = 1.0
    for factor, start, end in zip(factors, bounds, bounds[1:], strict=False):
        solved = solve_ivp(
            lambda _, force, factor=factor: factor * force,
            (start, end),
            [tension],
            rtol=1e-10,
            atol=1e-12,
        )
        tension = solved.y[0, -1]

    found = limit_ratio(
        exponent=exponent(
            friction_coefficient=0.1,
            factor_ratios=tuple(factor / 0.1 for factor in factors),
            angles_rad=angles,
        )
    )

    assert found == pytest.approx(tension, rel=1e-8)


@given(ratio=st.floats(1.0, 20.0), exponent=st.floats(0.05, 3.0))
def test_margin_is_positive_when_holding_holds_and_when_stalled_slips(ratio, exponent):
    holds = log(ratio) <= exponent

    holding = margin(case=LoadCase.LOADING, tension_ratio=ratio, exponent=exponent)
    stalled = margin(case=LoadCase.STALLED_CAR, tension_ratio=ratio, exponent=exponent)

    assert (holding >= 0.0) == holds
    assert stalled == -holding


def test_stalled_rope_lighter_than_the_other_side_is_far_from_slipping():
    found = margin(case=LoadCase.STALLED_CAR, tension_ratio=0.5, exponent=0.6)

    assert found < -1.0


def test_ratio_the_wrong_way_round_is_refused_when_holding():
    with pytest.raises(OutsideValidity, match=r"tension_ratio is 0.5; it must be 1"):
        margin(case=LoadCase.LOADING, tension_ratio=0.5, exponent=0.6)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_exponent_and_ratio_must_be_positive_numbers(value):
    with pytest.raises(OutsideValidity, match="exponent is"):
        limit_ratio(exponent=value)
    with pytest.raises(OutsideValidity, match="tension_ratio is"):
        utilisation(tension_ratio=value, exponent=0.5)


@pytest.mark.parametrize(
    ("factors", "angles"), [((1.2,), (pi, pi)), ((), ()), ((0.0,), (pi,))]
)
def test_every_pass_has_a_factor_and_an_angle(factors, angles):
    with pytest.raises(OutsideValidity, match="factor_ratios is"):
        exponent(friction_coefficient=0.1, factor_ratios=factors, angles_rad=angles)
