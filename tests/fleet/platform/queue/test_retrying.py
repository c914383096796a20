"""Failed jobs are tried again by command and in the administrator's pages."""

import io
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from fleet.models import Job, Person
from fleet.platform.choices import JobState
from fleet.platform.queue import jobs, retrying
from tests import browsers, factories

pytestmark = pytest.mark.django_db

NOW = factories.NOW
ASSESS, PUBLISH = "inspections.tasks.assess", "reports.tasks.publish"


def failed(subject, *, kind=ASSESS, contractor_id=1, problem="OSError"):
    [job_id] = jobs.write(
        kind=kind, contractor_id=contractor_id, subject_ids=[subject], due_at=NOW
    )
    Job.objects.filter(pk=job_id).update(
        state=JobState.FAILED,
        attempts=9,
        workers_lost=3,
        finished_at=NOW,
        problem=problem,
    )
    return job_id


def retry(*arguments, **options):
    out = io.StringIO()
    call_command("retry_jobs", *arguments, stdout=out, **options)
    return out.getvalue()


def queued():
    waiting = Job.objects.filter(state=JobState.QUEUED).order_by("pk")
    return list(waiting.values_list("pk", flat=True))


def test_a_failed_job_is_due_at_once_with_all_its_tries_before_it():
    job_id = failed(1)

    done = retrying.retry(rows=retrying.failed(ids=[job_id]), now=NOW)

    assert (done.queued, done.left_to_others) == ((job_id,), ())
    job = Job.objects.get(pk=job_id)
    assert (job.state, job.attempts, job.workers_lost) == (JobState.QUEUED, 0, 0)
    assert (job.due_at, job.finished_at) == (NOW, None)
    assert jobs.claim(job_id=job_id, now=NOW)


# Fault 59.
def test_what_was_queued_anew_meanwhile_is_not_done_twice():
    old = failed(1)
    [twin] = jobs.write(kind=ASSESS, contractor_id=1, subject_ids=[1], due_at=NOW)

    done = retrying.retry(rows=retrying.failed(), now=NOW)

    assert (done.queued, done.left_to_others) == ((), (old,))
    assert queued() == [twin]
    assert Job.objects.get(pk=old).state == JobState.CANCELLED


def test_of_two_failures_of_one_subject_one_is_tried():
    first, second = failed(1), failed(1)

    done = retrying.retry(rows=retrying.failed(), now=NOW)

    assert (done.queued, done.left_to_others) == ((first,), (second,))


def test_jobs_that_have_not_failed_are_left_alone():
    [waits] = jobs.write(
        kind=ASSESS,
        contractor_id=1,
        subject_ids=[1],
        due_at=NOW + timedelta(hours=1),
    )

    done = retrying.retry(rows=Job.objects.all(), now=NOW)

    assert done.queued == ()
    assert Job.objects.get(pk=waits).due_at == NOW + timedelta(hours=1)


def test_a_dry_run_counts_by_kind_and_problem_and_changes_nothing():
    failed(1)
    failed(2)
    failed(3, kind=PUBLISH, problem="")

    said = retry("--all", "--dry-run")

    assert said.splitlines() == [
        f"{ASSESS}: 2 failed, OSError",
        f"{PUBLISH}: 1 failed, no reason noted",
        "3 would be tried again.",
    ]
    assert queued() == []


def test_kind_contractor_and_id_each_narrow_what_is_meant(north, south):
    mine, theirs = north.contractor, south.contractor
    here = failed(1, contractor_id=mine.pk)
    report = failed(2, contractor_id=mine.pk, kind=PUBLISH)
    there = failed(1, contractor_id=theirs.pk)

    retry("--kind", PUBLISH, "--contractor", mine.code)
    assert queued() == [report]
    retry(str(there))
    assert queued() == [report, there]
    retry("--contractor", mine.code)
    assert queued() == [here, report, there]


@pytest.mark.parametrize("words", [(), ("--all", "--kind", ASSESS)])
def test_without_a_clear_choice_nothing_is_tried(words):
    failed(1)

    with pytest.raises(CommandError, match="--all"):
        retry(*words)

    assert queued() == []


def test_an_id_that_has_not_failed_is_named_and_nothing_is_tried():
    job_id = failed(1)

    with pytest.raises(CommandError, match="987654"):
        retry(str(job_id), "987654")

    assert queued() == []


def test_the_administrator_sees_failed_jobs_and_tries_them_again(settings):
    settings.SUPERUSER_SECOND_FACTOR = False
    job_id, other = failed(1), failed(2)
    [done] = jobs.write(kind=PUBLISH, contractor_id=1, subject_ids=[7], due_at=NOW)
    Job.objects.filter(pk=done).update(state=JobState.DONE)
    found = browsers.confirmed(Person.objects.create_superuser("root"))
    address = reverse("admin:fleet_job_changelist")

    listed = found.get(address)
    sent = found.post(
        address, {"action": "retry", "_selected_action": [job_id]}, follow=True
    )

    assert {row.pk for row in listed.context["cl"].result_list} == {job_id, other}
    assert "1 will be tried again." in sent.content.decode()
    assert queued() == [job_id]
