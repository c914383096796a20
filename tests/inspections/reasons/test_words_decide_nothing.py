"""With every text of the catalogue another one, everything decided stays the same."""

from dataclasses import fields, is_dataclass
from enum import Enum

import pytest
from django.db import transaction

from fleet.models import Person
from inspections import urgent, worklist
from inspections.assessment import grading
from inspections.assessment.assessing import judge
from inspections.decisions import options, thresholds
from inspections.decisions.records import LeadTimes, Rates
from inspections.models import Assessment, Finding, UrgentMail
from inspections.options import facts
from inspections.options.loading import Judged
from inspections.reasons import as_json, missing
from inspections.reasons.terms import Term
from inspections.worklist import asking
from tests import callers, factories
from tests.inspections.assessment.visits import NOW, assess, send, thin
from tests.inspections.options import worn
from tests.inspections.reasons.other_words import other_words, stored
from tests.versions.cases import case

# One of each form and set, roped and registered in every way.
CASES = range(0, 1000, 47)


def without_words(value):
    """Return what a record decides: its numbers, days and codes, no text."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, str):
        return "words"
    if is_dataclass(value):
        return {f.name: without_words(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        pairs = [(without_words(k), without_words(v)) for k, v in value.items()]
        return sorted(pairs, key=repr)
    if isinstance(value, tuple | list):
        return [without_words(each) for each in value]
    return value


def judged(snapshot):
    """Return all that one machine's findings decide, and the options that follow."""
    drafts, limits, _ = judge(snapshot)
    rows = tuple(
        Finding(
            topic=d.topic,
            place=d.place,
            grade=d.grade,
            stops_service=d.stops_service,
            rule=str(d.rule or ""),
            reason=str(d.reason or ""),
            said=as_json(d.reason) if d.reason else None,
        )
        for d in drafts
    )
    said = [(r.topic, r.place, r.grade, r.stops_service, r.rule, r.said) for r in rows]
    numbers = [(d.value, d.limit, d.margin, d.readings, d.unconfirmed) for d in drafts]
    bound = [(each.quantity, each.place, each.value, each.reason) for each in limits]
    grade = grading.of_machine(drafts, complete=True)
    known = facts.facts_of(
        snapshot=snapshot,
        judged=Judged(
            assessment=Assessment(grade=grade), findings=rows, forecasts=(), cases=()
        ),
    )
    found = options.work_out(
        facts=known,
        rates=Rates(),
        lead_times=LeadTimes(),
        thresholds=thresholds.changed(changes={}),
        as_of=snapshot.as_of.date(),
    )
    asked = [sorted(asking.kinds(row)) for row in rows]
    return (said, numbers, bound, grade, asked, without_words(found)), [
        row.reason for row in rows
    ]


def test_findings_options_and_what_is_asked_do_not_hang_on_words(monkeypatch):
    before = [judged(case(number)) for number in CASES]
    other_words(monkeypatch)

    after = [judged(case(number)) for number in CASES]

    for (old, old_words), (new, new_words) in zip(before, after, strict=True):
        assert new == old
        assert set(old_words) & set(new_words) <= {""}


def test_the_words_are_indeed_others(monkeypatch):
    before = str(missing(Term.CAR_MASS))
    other_words(monkeypatch)

    assert str(missing(Term.CAR_MASS)) != before


@pytest.fixture
def told(monkeypatch):
    """Return what a contractor's machine asks for and whom it tells."""
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)

    def told_of(code):
        cast = factories.cast(code=code)
        for who in ("office", "tech"):
            address = f"{code}-{who}@lifts.example"
            Person.objects.filter(username=f"{code}-{who}").update(email=address)
        breaks = {"kind": "breaks_total", "rope": 1, "value": "60", "unit": "1"}
        send(cast, *thin("1.9"))
        send(cast, breaks | {"place": {"window": "lay"}}, day="2026-05-20")
        assess(cast)
        machine = factories.machine(cast.scope(), "MH-1")
        urgent.tell_of_findings(scope=cast.scope(), machine_ids=[machine.pk], now=NOW)
        due = worklist.worklist(
            scope=cast.scope(),
            machine_id=machine.pk,
            visit="ROUTINE",
            minutes=30,
            as_of=NOW,
        )
        callers.confine(cast)
        addresses = UrgentMail.objects.values_list("address", flat=True)
        steps = [
            (
                step.code,
                [
                    (item.kind, item.number, item.place, [r.why for r in item.reasons])
                    for item in step.items
                ],
            )
            for step in (*due.steps, *due.left_out)
        ]
        return (
            steps,
            [each.visit for each in due.other_visits],
            sorted(each.replace(code, "") for each in addresses),
        )

    return told_of


@pytest.mark.django_db
def test_worklist_and_recipients_do_not_hang_on_words(monkeypatch, told):
    before = told("north")
    other_words(monkeypatch)

    assert told("south") == before
    assert before[2]


def looked_at(cast):
    """Return what the workers store of the machine, and take it back."""
    with transaction.atomic():
        worn.look(cast)
        found = stored()
        transaction.set_rollback(True)
    return found


@pytest.mark.django_db
def test_forecasts_options_and_works_as_stored_do_not_hang_on_words(monkeypatch):
    cast = factories.cast(code="north")
    worn.read(cast)
    before = looked_at(cast)
    other_words(monkeypatch)

    after = looked_at(cast)

    for name, rows in before.items():
        assert rows, name
        assert after[name] == rows, name
