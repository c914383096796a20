"""A year of the demo's machines, lived twice: what is decided hangs on no word."""

from datetime import timedelta

import pytest
from django.db import transaction

from fleet.models import Machine, Person
from fleet.platform.database import tenancy
from inspections import assessment, forecasts, options, urgent, worklist
from inspections.intake import accept
from inspections.models import UrgentMail
from tests import factories
from tests.fixtures.demo_readings import sent
from tests.fixtures.test_demo_taken_in import RECEIVED_AT, registered
from tests.inspections.reasons.other_words import other_words, stored

pytestmark = [pytest.mark.django_db, pytest.mark.long]

# In the last quarter a rope of one machine is found past its discard limit: no machine
# of the demo is taken out of service by what is worked out, and such a stop is mailed.
CONDEMNED = factories.upload(
    {
        "kind": "breaks_total",
        "value": "60",
        "unit": "1",
        "place": {"window": "lay"},
    },
    machine="kladka-1",
    visited_at="2026-11-20T09:00:00+01:00",
)
QUARTERS = [RECEIVED_AT - timedelta(days=91 * n) for n in (3, 2, 1, 0)]


@pytest.fixture
def portfolio(monkeypatch):
    """Return the demo's scope and machines: its readings, and a condemned rope."""
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    scope = registered()
    Person.objects.filter(memberships__role="OFFICE").update(email="o@lifts.example")
    for upload in [*sent()["uploads"], CONDEMNED]:
        found = accept(
            scope=scope,
            body=upload,
            fingerprint="",
            key=None,
            received_at=RECEIVED_AT,
            most=10_000,
        )
    assert [one["outcome"] for one in found.answer["readings"]] == ["stored"]
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
            urgent.tell_of_findings(scope=scope, machine_ids=ids, now=now)
            year.append(decided(scope, machines, now))
        transaction.set_rollback(True)
    return year


def decided(scope, machines, now):
    """Return all that was decided, as it stands: no word of it, each code."""
    found = stored()
    found["told"] = sorted(
        UrgentMail.objects.exclude(assessment=None).values_list(
            "address", "assessment__machine", "assessment__as_of"
        )
    )
    found["to_read"] = {
        code: [
            (step.code, [(i.kind, i.number, i.place) for i in step.items])
            for step in worklist.worklist(
                scope=scope, machine_id=pk, visit="ROUTINE", minutes=60, as_of=now
            ).steps
        ]
        for pk, code in machines.items()
    }
    return found


def test_a_year_of_the_demo_decides_the_same_in_other_words(portfolio, monkeypatch):
    scope, machines = portfolio
    before = lived(scope, machines)
    other_words(monkeypatch)

    after = lived(scope, machines)

    for old, new in zip(before, after, strict=True):
        for name, rows in old.items():
            assert new[name] == rows, name
    last = before[-1]
    grades = {row["grade"] for row in last["Assessment"]}
    assert grades >= {"PLAN_WORK", "IN_ORDER"}
    assert any(last["to_read"].values())
    assert all(last[name] for name in ("Finding", "Forecast", "DueWork", "told"))
    assert {machines[machine] for _, machine, _ in last["told"]} == {"kladka-1"}
