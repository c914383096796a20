from dataclasses import replace
from math import radians

import pytest

from inspections.decisions import grip, thresholds
from inspections.decisions.records import WrapPulley
from inspections.engineering import criteria, traction
from inspections.engineering.traction import LoadCase
from inspections.engineering.wrap import wrap_from_geometry
from inspections.reasons import Term
from tests.inspections.decisions import machines

AT = {"pulley_diameter_mm": 500.0, "offset_x_mm": 700.0, "drop_h_mm": 500.0}
WITH_PULLEY = replace(
    machines.SOUND,
    deflector=WrapPulley(**AT),
    suspension=replace(
        machines.SOUND.suspension,
        wrap=wrap_from_geometry(sheave_diameter_mm=600.0, double=False, **AT),
    ),
)


def after(facts, diameter_mm):
    found = grip.with_new_seats(facts=facts, pitch_diameter_mm=diameter_mm)
    return {change.case: change.after for change in found}


def test_the_margins_as_new_are_taken_where_the_wrap_is_an_angle():
    assert after(machines.SOUND, 594.0) == dict.fromkeys(LoadCase, 0.25)


def test_without_margins_they_are_computed():
    facts = replace(machines.SOUND, margins=())

    found = after(facts, 594.0)

    # Printed check value: T1/T2 of 1.5371 against 1.7647 held; 1 - ln/ln.
    assert found[LoadCase.LOADING] == pytest.approx(0.2431, abs=5e-5)


def test_without_a_diameter_the_sheave_is_taken_as_it_is():
    facts = replace(machines.SOUND, margins=())

    assert after(facts, None) == after(facts, 600.0)


def test_a_smaller_sheave_changes_the_wrap_where_it_follows_from_geometry():
    new = after(WITH_PULLEY, 600.0)
    cut = after(WITH_PULLEY, 580.0)

    # asin((D - d) / 2C) falls with D, and the wrap with it.
    assert cut[LoadCase.LOADING] < new[LoadCase.LOADING]
    assert cut[LoadCase.STALLED_CAR] > new[LoadCase.STALLED_CAR]


def test_the_forces_do_not_depend_on_the_sheave():
    facts = replace(machines.SOUND, margins=())

    assert after(facts, 600.0) == after(facts, 560.0)


def test_a_wrap_that_cannot_be_is_not_assessed():
    overlapping = replace(
        WITH_PULLEY,
        deflector=WrapPulley(
            pulley_diameter_mm=900.0, offset_x_mm=100.0, drop_h_mm=100.0
        ),
    )

    found = grip.with_new_seats(facts=overlapping, pitch_diameter_mm=590.0)

    assert not grip.is_known(found)
    assert [change.before for change in found] == [0.15] * 5


def test_a_double_wrap_is_computed_with_both_grooves():
    double = replace(
        machines.SOUND,
        margins=(),
        suspension=replace(
            machines.SOUND.suspension,
            wrap=replace(
                machines.SOUND.suspension.wrap,
                angles_rad=(radians(165.0), radians(165.0)),
            ),
        ),
    )

    assert after(double, 594.0)[LoadCase.LOADING] == pytest.approx(
        1.0 - (1.0 - 0.24310) / 2.0, abs=1e-4
    )


def test_nothing_is_known_of_nothing():
    facts = replace(machines.SOUND, margins=(), suspension=None)

    found = grip.with_new_seats(facts=facts, pitch_diameter_mm=594.0)

    assert found == ()
    assert not grip.is_known(found)
    held = grip.held(
        facts=facts,
        margins=found,
        thresholds=thresholds.DEFAULTS,
        pitch_diameter_mm=594.0,
    )
    assert held.against == ()
    assert held.missing == (Term.TRACTION_INPUTS,)


def braking_hardest(retardation_m_s2):
    """Return what is missing for work on a machine that may brake so hard."""
    rules = machines.SOUND.traction_rules
    facts = replace(
        machines.SOUND,
        braking_hardest=traction.braking_harder(
            rules=rules, retardation_m_s2=retardation_m_s2
        ),
    )
    return grip.held(
        facts=facts,
        margins=grip.with_new_seats(facts=facts, pitch_diameter_mm=594.0),
        thresholds=thresholds.DEFAULTS,
        pitch_diameter_mm=594.0,
    )


def test_work_waits_for_the_braking_where_a_case_would_not_close_at_its_hardest():
    assert braking_hardest(0.55) == grip.Held()
    assert braking_hardest(1.0) == grip.Held(
        missing=(Term.FIELD_BRAKING_DECELERATION_M_S2,)
    )


def test_a_borrowed_method_forbids_nothing_and_asks_for_a_test():
    facts = replace(
        machines.SOUND,
        criteria_set=criteria.find(code="ASME_A17_1"),
        margins=machines.margins(-0.1, -0.02),
    )

    held = grip.held(
        facts=facts,
        margins=grip.with_new_seats(facts=facts, pitch_diameter_mm=594.0),
        thresholds=thresholds.DEFAULTS,
        pitch_diameter_mm=594.0,
    )

    assert held.against == ()
    assert "a traction test" in str(held.missing[0])


def test_without_masses_nothing_is_said_of_a_smaller_wrap():
    facts = replace(WITH_PULLEY, suspension=None)

    found = grip.with_new_seats(facts=facts, pitch_diameter_mm=594.0)

    assert [change.before for change in found] == [0.15] * 5
    assert not grip.is_known(found)
