"""A year of the demo's machines, lived twice: what is decided hangs on no word."""

from datetime import timedelta

import pytest
from django.db import transaction

from fleet.models import Machine
from fleet.platform.database import tenancy
from inspections import assessment, forecasts, options, worklist
from inspections.intake import accept
from inspections.models import Assessment, Finding, OptionSet
from tests.fixtures.demo_readings import sent
from tests.fixtures.test_demo_taken_in import RECEIVED_AT, registered
from tests.inspections.reasons.test_words_decide_nothing import other_words

pytestmark = [pytest.mark.django_db, pytest.mark.long]

QUARTERS = [RECEIVED_AT - timedelta(days=91 * n) for n in (3, 2, 1, 0)]
DECIDED = (
    "machine_id",
    "topic",
    "place",
    "grade",
    "value",
    "limit",
    "margin",
    "unit",
    "rule",
    "said",
    "stops_service",
    "unconfirmed",
    "answer",
    "chance_beyond",
    "decides",
    "current",
)
# Of an option as stored: English beside the codes, which are compared.
SAID = frozenset({"cautions", "measure_before", "missing", "source", "text", "words"})


@pytest.fixture
def portfolio(monkeypatch):
    """Return the demo's scope and machines, every reading of theirs taken in."""
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    scope = registered()
    for upload in sent()["uploads"]:
        accept(
            scope=scope,
            body=upload,
            fingerprint="",
            key=None,
            received_at=RECEIVED_AT,
            most=10_000,
        )
    tenancy.confine(contractor_id=scope.contractor_id)
    codes = Machine.objects.within(scope).order_by("pk").values_list("pk", "code")
    return scope, dict(codes)


def lived(scope, machines):
    """Live the year quarter by quarter; return what was decided, and take it back."""
    year = []
    with transaction.atomic():
        for now in QUARTERS:
            ids = list(machines)
            assessment.assess(scope=scope, machine_ids=ids, as_of=now)
            forecasts.project(scope=scope, machine_ids=ids, as_of=now)
            options.recompute(scope=scope, machine_ids=ids, as_of=now)
            year.append(decided(scope, machines, now))
        transaction.set_rollback(True)
    return year


def decided(scope, machines, now):
    """Return grades, findings, options and lists of what to read, as they stand."""
    found = {
        "grades": list(
            Assessment.objects.order_by("pk").values_list("machine_id", "grade")
        ),
        "findings": sorted(Finding.objects.values_list(*DECIDED), key=repr),
        "options": {
            row.machine_id: without_said(row.options) for row in OptionSet.objects.all()
        },
    }
    found["due"] = {
        code: [
            (step.code, [(i.kind, i.number, i.place) for i in step.items])
            for step in worklist.worklist(
                scope=scope, machine_id=pk, visit="ROUTINE", minutes=60, as_of=now
            ).steps
        ]
        for pk, code in machines.items()
    }
    return found


def without_said(options):
    """Return options as stored, less what is said of them."""
    if isinstance(options, dict):
        kept = {k: v for k, v in options.items() if k not in SAID}
        return {k: without_said(v) for k, v in kept.items()}
    if isinstance(options, list):
        return [without_said(each) for each in options]
    return options


def test_a_year_of_the_demo_decides_the_same_in_other_words(portfolio, monkeypatch):
    scope, machines = portfolio
    before = lived(scope, machines)
    other_words(monkeypatch)

    after = lived(scope, machines)

    assert after == before
    assert {grade for _, grade in before[-1]["grades"]} >= {"PLAN_WORK", "IN_ORDER"}
    assert any(before[-1]["due"].values())
