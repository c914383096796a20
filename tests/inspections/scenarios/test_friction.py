"""Friction learnt from tests on the machine: stricter than the code, never looser."""

from datetime import date
from math import exp, log, radians

import pytest

from inspections import scenarios
from inspections.engineering.learnt_friction import FrictionTest, learnt_friction
from tests.inspections.assessment.snapshots import snapshot, take, worn

TODAY = date(2026, 6, 1)


def showing(mu, *, held, on=date(2026, 5, 1)):
    """Return a test that shows a friction."""
    return FrictionTest(
        tested_on=on,
        held=held,
        tension_ratio=exp(mu * 2.0 * 2.88),
        factor_ratio=2.0,
        wrap_rad=2.88,
    )


def test_holds_bound_from_below_and_slips_from_above():
    found = learnt_friction(
        tests=(
            showing(0.06, held=True),
            showing(0.08, held=True),
            showing(0.12, held=False),
            showing(0.11, held=False),
        ),
        today=TODAY,
    )

    assert found.least == pytest.approx(0.08)
    assert found.most == pytest.approx(0.11)


@pytest.mark.parametrize("mu", [0.05, 0.09, 0.1, 0.3])
def test_nothing_learnt_loosens_the_code(mu):
    for held in (True, False):
        found = learnt_friction(tests=(showing(mu, held=held),), today=TODAY)

        assert found.stricter(mu_of_code=0.1) <= 0.1


def test_what_is_older_than_a_year_or_of_tomorrow_is_not_counted():
    old = showing(0.05, held=False, on=date(2025, 5, 31))
    coming = showing(0.05, held=False, on=date(2026, 6, 2))

    assert learnt_friction(tests=(old, coming), today=TODAY) is None
    young = showing(0.05, held=False, on=date(2025, 6, 1))
    assert learnt_friction(tests=(young,), today=TODAY) is not None


def static(word, load_kg=1250.0, on=TODAY):
    return take(
        "traction_test",
        word=word,
        on=on,
        case="125 % static",
        load_kg=load_kg,
        slid_mm=0.0 if word == "held" else 60.0,
    )


def friction_of(*readings):
    of = snapshot(*worn(2.5), *readings)
    return scenarios.work_out(of, scenarios.read({})).friction


def test_a_slip_on_the_machine_makes_each_holding_case_stricter():
    found = friction_of(static("slipped"))

    # At rest with 125 % at the bottom: T1/T2 of the loading case.
    ratio = 24880.0239 / 16186.5
    assert found.most == pytest.approx(log(ratio) / (1.972228 * radians(165)), rel=1e-3)
    assert found.least is None
    for case in found.cases:
        assert case.mu_learnt == pytest.approx(min(case.mu_of_code, found.most))
        assert case.stricter_margin <= case.margin
    loading = next(case for case in found.cases if case.case == "LOADING")
    assert loading.stricter_margin == pytest.approx(0.0, abs=1e-3)


def test_a_hold_on_the_machine_loosens_nothing():
    found = friction_of(static("held"))

    assert found.most is None
    assert 0.0 < found.least < 0.1
    for case in found.cases:
        assert case.mu_learnt == case.mu_of_code
        assert case.stricter_margin == pytest.approx(case.margin)


def test_without_tests_or_masses_nothing_is_learnt():
    assert friction_of() is None
    assert friction_of(static("held", load_kg=None)) is None
