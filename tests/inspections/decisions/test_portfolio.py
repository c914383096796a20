from dataclasses import replace
from datetime import date

import pytest

from inspections.decisions import budget, options, portfolio, thresholds
from inspections.decisions.records import OptionKind
from inspections.reasons import Grade
from tests.inspections.decisions import machines
from tests.inspections.decisions.machines import AS_OF


def of(*findings, chosen=None, planned_on=None):
    facts = replace(machines.SOUND, findings=findings)
    found = options.work_out(
        facts=facts,
        rates=machines.RATES,
        lead_times=machines.LEADS,
        thresholds=thresholds.DEFAULTS,
        as_of=AS_OF,
    )
    return portfolio.machine_of(
        facts=facts, options=found, chosen=chosen, planned_on=planned_on
    )


DISCARD = machines.finding("rope discard", Grade.ACT_NOW, stop=True)


def test_a_sound_machine_has_nothing_planned():
    found = of()

    assert found.chosen is None
    assert len(found.offers) == len(OptionKind)
    assert found.ahead == machines.SOUND.ahead


def test_what_stands_first_is_taken_as_planned_where_a_finding_is_open():
    found = of(DISCARD)

    assert found.chosen is OptionKind.RE_ROPE
    assert found.planned_on == AS_OF


def test_what_the_office_has_chosen_goes_before():
    found = of(
        DISCARD,
        chosen=OptionKind.REPLACE_SHEAVE,
        planned_on=date(2026, 5, 1),
    )

    assert found.chosen is OptionKind.REPLACE_SHEAVE
    assert found.planned_on == date(2026, 5, 1)


def test_measuring_is_not_budgeted_as_work():
    assert of(machines.finding("brake", Grade.ACT_NOW, stop=True)).chosen is None


def test_an_open_finding_costs_in_its_own_quarter():
    found = budget.by_quarter(
        machines=(of(DISCARD),),
        thresholds=thresholds.DEFAULTS,
        as_of=AS_OF,
        seed=1,
        quarters=2,
        draws=200,
    )

    assert dict(found.quarters[0].counts)[OptionKind.RE_ROPE].mean == 1.0
    assert found.quarters[0].cost.mean == pytest.approx(5000.0)
