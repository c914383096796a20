"""What is forgotten after some weeks, and what never is."""

import io
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.core.management import CommandError, call_command

from fleet.models import Job
from inspections.models import Reading, Upload
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, outcomes

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
OLD = NOW - timedelta(days=31)
RECENT = NOW - timedelta(days=29)


def prune(**options):
    out = io.StringIO()
    factories.forget_tenant()
    with time_machine.travel(NOW, tick=False):
        call_command("prune", stdout=out, **options)
    return dict(line.split(": ") for line in out.getvalue().splitlines())


def job(cast, state, finished_at, subject):
    return Job.objects.create(
        kind="inspections.tasks.assess",
        contractor_id=cast.contractor.pk,
        key=str(subject),
        state=state,
        finished_at=finished_at,
    ).pk


def test_jobs_that_ended_well_are_forgotten_after_a_month(north):
    gone = {job(north, "DONE", OLD, 1), job(north, "CANCELLED", OLD, 2)}
    kept = {
        job(north, "DONE", RECENT, 3),
        job(north, "FAILED", OLD, 4),
        job(north, "QUEUED", None, 5),
    }

    told = prune()

    assert told["jobs"] == str(len(gone))
    assert set(Job.objects.values_list("pk", flat=True)) == kept


def test_sessions_that_ran_out_are_forgotten(db):
    for key, runs_out in (("old", OLD), ("recent", RECENT), ("open", NOW)):
        Session.objects.create(session_key=key, session_data="", expire_date=runs_out)

    assert prune()["sessions"] == "1"
    assert not Session.objects.filter(session_key="old").exists()


def test_an_old_answer_is_forgotten_and_the_upload_still_stores_nothing_twice(north):
    body = factories.upload(GOOD)
    first = callers.upload(north, body, Idempotency_Key="tablet-1-0001")
    assert outcomes(first) == ["stored"]
    callers.confine(north)
    Upload.objects.update(received_at=OLD)

    assert prune()["upload answers"] == "1"
    assert prune()["upload answers"] == "0"

    again = callers.upload(north, body, Idempotency_Key="tablet-1-0001")
    assert outcomes(again) == ["already-stored"]
    callers.confine(north)
    assert Reading.objects.count() == 1


def test_a_recent_answer_is_kept(north):
    callers.upload(north, factories.upload(GOOD), Idempotency_Key="tablet-1-0001")
    callers.confine(north)
    Upload.objects.update(received_at=RECENT)

    assert prune()["upload answers"] == "0"
    callers.confine(north)
    assert Upload.objects.get().answer


def test_nothing_of_this_week_is_forgotten(db):
    with pytest.raises(CommandError, match="older-than-days is 6; it must be"):
        prune(older_than_days=6)
