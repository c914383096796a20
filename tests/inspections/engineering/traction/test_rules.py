import pytest

from inspections.engineering.source import Certainty
from inspections.engineering.traction import (
    EN_81_1_1985,
    EN_81_50,
    LoadCase,
    TractionRules,
    dynamic_factor,
    friction_coefficient,
)
from inspections.engineering.validity import OutsideValidity


def rules(**changes):
    named = {
        "method": "m",
        "source": "s",
        "status": Certainty.FROM_MEMORY,
        "borrowed": True,
    }
    return TractionRules(**{**named, **changes})


@pytest.mark.parametrize(
    ("case", "expected"),
    [
        (LoadCase.LOADING, 0.1),
        (LoadCase.BRAKING_FULL, 0.1 / 1.16),
        (LoadCase.STALLED_COUNTERWEIGHT, 0.2),
        (LoadCase.STALLED_CAR, 0.2),
    ],
)
def test_friction_goes_by_case_and_speed(case, expected):
    assert friction_coefficient(
        rules=EN_81_50, case=case, rope_speed_m_s=1.6
    ) == pytest.approx(expected)


def test_older_code_takes_one_friction_at_every_speed():
    assert (
        friction_coefficient(
            rules=EN_81_1_1985, case=LoadCase.BRAKING_EMPTY, rope_speed_m_s=2.5
        )
        == 0.09
    )


def test_masses_that_are_retarded_need_no_dynamic_factor():
    assert (
        dynamic_factor(rules=EN_81_50, case=LoadCase.LOADING, rated_speed_m_s=1.0)
        == 1.0
    )


def test_dynamic_factor_does_not_apply_to_a_stalled_rope():
    assert (
        dynamic_factor(
            rules=EN_81_1_1985, case=LoadCase.STALLED_CAR, rated_speed_m_s=1.0
        )
        == 1.0
    )


def test_dynamic_factor_is_not_extended_past_its_table():
    with pytest.raises(OutsideValidity, match=r"rated_speed_m_s is 3; .* at most 2.5"):
        dynamic_factor(rules=EN_81_1_1985, case=LoadCase.LOADING, rated_speed_m_s=3.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"mu_loading": 0.0},
        {"mu_braking_base": -0.1},
        {"mu_stalled": float("nan")},
        {"braking_speed_m_s": 0.0},
        {"retardation_m_s2": -0.5},
        {"retardation_m_s2": 0.0},
        {"load_factor": 0.9},
        {"cases": ()},
        {"load_factor": float("nan")},
        {"bottom_allowance_mm": -0.1},
    ],
)
def test_value_out_of_range_is_refused_by_name(changes):
    with pytest.raises(OutsideValidity, match=f"{next(iter(changes))} is"):
        rules(**changes)
