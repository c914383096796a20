"""Options are decided on what the latest assessment stored, not on another look."""

import json

import pytest

from inspections import inputs
from inspections.assessment import basis
from inspections.assessment.assessing import judge
from inspections.engineering.groove import FORMS
from inspections.json_records import plain, read
from inspections.models import Assessment
from inspections.options import facts, loading
from tests import callers
from tests.inspections.options import worn
from tests.versions import cases


def facts_of(cast, machine):
    callers.confine(cast)
    [snapshot] = inputs.load(
        scope=cast.scope(), machine_ids=[machine.pk], as_of=worn.AT
    )
    found = loading.judged(scope=cast.scope(), machine_ids=[machine.pk])
    return facts.facts_of(snapshot=snapshot, judged=found[machine.pk])


def change(**parts):
    """Change the shared numbers of the only assessment, as nobody does."""
    row = Assessment.objects.get()
    row.inputs["shared"] |= parts
    row.save()


@pytest.mark.parametrize("number", range(0, 60, 7))
def test_what_is_stored_reads_back_as_it_was_known(number):
    _, _, shared = judge(cases.case(number))

    stored = basis.from_shared(json.loads(json.dumps(shared)))

    assert stored == basis.of_snapshot(cases.case(number))


def test_the_machines_read_back_differ_in_what_they_hold():
    held = [basis.of_snapshot(cases.case(number)) for number in range(0, 60, 7)]

    assert {type(each.groove) for each in held} >= set(FORMS.values())
    assert {each.suspension is None for each in held} == {True, False}
    assert any(each.work.proof.hardness for each in held)
    assert any(each.work.seats for each in held)


@pytest.mark.django_db
def test_facts_are_those_of_the_assessment(north):
    machine = worn.machine(north)
    before = facts_of(north, machine)
    work = Assessment.objects.get().inputs["shared"][basis.FOR_WORK]

    change(**{basis.FOR_WORK: work | {"seats": work["seats"][:2]}})

    after = facts_of(north, machine)
    assert len(before.seats) == 5
    assert after.seats == before.seats[:2]


@pytest.mark.django_db
@pytest.mark.parametrize("parts", [{basis.FOR_WORK: None}, {"rules": {"mu": 1}}])
def test_an_assessment_of_another_version_is_worked_out_once_more(north, parts):
    machine = worn.machine(north)
    before = facts_of(north, machine)

    change(**parts)

    assert facts_of(north, machine) == before


def test_an_unknown_value_is_refused_and_not_filled_in():
    stored = plain(basis.of_snapshot(cases.case(7)).work)
    stored["proof"].pop("crack_free")

    with pytest.raises(KeyError):
        read(basis.ForWork, stored)
