"""The job table: no work lost, none done twice, none tried for ever."""

import contextlib
from datetime import timedelta

import pytest

from fleet.models import Job, Owner
from fleet.platform.choices import JobState
from fleet.platform.queue import jobs
from tests import callers, factories

pytestmark = pytest.mark.django_db

NOW = factories.NOW
KIND = "inspections.tasks.assess"


def write(*subjects, contractor_id=1, due_at=NOW):
    return jobs.write(
        kind=KIND, contractor_id=contractor_id, subject_ids=subjects, due_at=due_at
    )


def perform(job_id, activity, *, at=NOW):
    return jobs.perform(job_id=job_id, activity=activity, clock=lambda: at)


def fail(job):
    raise LookupError("no such machine")


# --- writing --------------------------------------------------------------------------
def test_a_subject_that_waits_already_is_not_queued_twice():
    first = write(1, 2, 2)

    second = write(2, 3)

    assert len(first) == 2
    assert len(second) == 1
    assert sorted(Job.objects.values_list("subject_id", flat=True)) == [1, 2, 3]


def test_another_contractor_or_kind_is_another_job():
    write(1)

    assert len(write(1, contractor_id=2)) == 1
    other = jobs.write(kind="other", contractor_id=1, subject_ids=[1], due_at=NOW)
    assert len(other) == 1


def test_nothing_to_queue_is_no_job():
    assert write() == []


def test_a_new_cause_brings_a_waiting_job_forward_and_gives_it_new_attempts():
    [job_id] = write(1, due_at=NOW + timedelta(hours=1))
    Job.objects.update(attempts=2)

    assert write(1) == []

    job = Job.objects.get(pk=job_id)
    assert (job.due_at, job.attempts) == (NOW, 0)


def test_a_new_cause_has_a_waiting_job_told_of_again():
    [job_id] = write(1)
    jobs.note_woken(job_ids=[job_id], now=NOW)
    assert jobs.due(now=NOW) == []

    write(1)

    assert [pk for pk, _ in jobs.due(now=NOW)] == [job_id]


def test_a_later_cause_does_not_put_a_waiting_job_off():
    [job_id] = write(1)

    write(1, due_at=NOW + timedelta(hours=1))

    assert Job.objects.get(pk=job_id).due_at == NOW


def test_a_subject_whose_job_is_running_is_queued_again():
    [job_id] = write(1)
    jobs.claim(job_id=job_id, now=NOW)

    assert len(write(1)) == 1


# --- claiming -------------------------------------------------------------------------
def test_a_job_is_claimed_once():
    [job_id] = write(1)

    first = jobs.claim(job_id=job_id, now=NOW)
    second = jobs.claim(job_id=job_id, now=NOW)

    assert first is not None
    assert (first.state, first.attempts) == (JobState.RUNNING, 1)
    assert second is None


def test_a_job_is_not_claimed_before_it_is_due():
    [job_id] = write(1, due_at=NOW + timedelta(seconds=1))

    assert jobs.claim(job_id=job_id, now=NOW) is None
    assert jobs.claim(job_id=job_id, now=NOW + timedelta(seconds=1))


def test_a_job_that_is_not_there_is_not_claimed():
    assert jobs.claim(job_id=10**9, now=NOW) is None


def test_a_job_whose_holder_died_is_claimed_when_its_lease_is_over(settings):
    [job_id] = write(1)
    jobs.claim(job_id=job_id, now=NOW)
    lease = timedelta(seconds=settings.JOB_LEASE_S)

    early = jobs.claim(job_id=job_id, now=NOW + lease - timedelta(seconds=1))
    late = jobs.claim(job_id=job_id, now=NOW + lease)

    assert early is None
    assert late is not None
    assert late.attempts == 2


def test_a_job_that_kills_its_worker_three_times_fails(settings, caplog):
    # Fault 3: a poison task is no loop.
    [job_id] = write(1)
    now = NOW
    for _ in range(3):
        assert jobs.claim(job_id=job_id, now=now)
        now += timedelta(seconds=settings.JOB_LEASE_S)

    assert jobs.claim(job_id=job_id, now=now) is None

    job = Job.objects.get(pk=job_id)
    assert (job.state, job.attempts, job.finished_at) == (JobState.FAILED, 3, now)
    assert job.lease_until is None
    assert job.problem
    assert f"job {job_id} failed" in caplog.text
    assert jobs.due(now=now + timedelta(days=1)) == []


# --- performing -----------------------------------------------------------------------
def test_a_job_done_is_done_once():
    [job_id] = write(1)
    done = []

    assert perform(job_id, done.append) is True
    assert perform(job_id, done.append) is False

    assert [job.pk for job in done] == [job_id]
    job = Job.objects.get()
    assert (job.state, job.finished_at, job.lease_until) == (JobState.DONE, NOW, None)


def test_a_job_sees_its_contractors_rows_only(north, south):
    seen = {}
    for cast in (north, south):
        [job_id] = write(1, contractor_id=cast.contractor.pk)
        perform(
            job_id,
            lambda job: seen.update(
                {job.contractor_id: {o.contractor_id for o in Owner.objects.all()}}
            ),
        )

    assert seen == {c.contractor.pk: {c.contractor.pk} for c in (north, south)}


def test_a_failed_job_stores_nothing_and_waits_longer_each_time(north):
    [job_id] = write(1, contractor_id=north.contractor.pk)
    waits, now = [], NOW

    def rename_and_fail(job):
        Owner.objects.update(name="half done")
        raise LookupError

    for _ in range(6):
        with pytest.raises(LookupError):
            perform(job_id, rename_and_fail, at=now)
        job = Job.objects.get(pk=job_id)
        assert (job.state, job.problem) == (JobState.QUEUED, "LookupError")
        waits.append((job.due_at - now).total_seconds())
        now = job.due_at

    assert waits == [10, 40, 160, 640, 900, 900]
    callers.confine(north)
    assert not Owner.objects.filter(name="half done").exists()


def not_now(job):
    Owner.objects.update(name="half done")
    raise jobs.NotNow("the fleet is at work", wait=timedelta(minutes=1))


def test_a_job_that_is_put_off_stores_nothing_and_has_not_been_tried(north, settings):
    [job_id] = write(1, contractor_id=north.contractor.pk)
    now = NOW

    for _ in range(settings.JOB_MAX_ATTEMPTS + 1):
        assert perform(job_id, not_now, at=now) is False
        now += timedelta(minutes=1)

    job = Job.objects.get(pk=job_id)
    assert (job.state, job.attempts, job.due_at) == (JobState.QUEUED, 0, now)
    assert (job.problem, job.lease_until) == ("NotNow", None)
    callers.confine(north)
    assert not Owner.objects.filter(name="half done").exists()
    assert perform(job_id, lambda job: None, at=now) is True


def test_a_job_that_is_put_off_gives_way_to_the_same_one_queued_meanwhile(north):
    [job_id] = write(1, contractor_id=north.contractor.pk)
    job = jobs.claim(job_id=job_id, now=NOW)
    again = write(1, contractor_id=north.contractor.pk)

    jobs._put_off(job=job, due_at=NOW + timedelta(minutes=1), now=NOW)

    assert Job.objects.get(pk=job_id).state == JobState.CANCELLED
    assert [row.pk for row in Job.objects.filter(state=JobState.QUEUED)] == again


def test_a_job_that_fails_each_time_has_failed(caplog, settings):
    [job_id] = write(1)
    now = NOW
    for _ in range(settings.JOB_MAX_ATTEMPTS):
        with pytest.raises(LookupError):
            perform(job_id, fail, at=now)
        now = Job.objects.get(pk=job_id).due_at

    job = Job.objects.get(pk=job_id)
    assert (job.state, job.attempts, job.problem) == (
        JobState.FAILED,
        settings.JOB_MAX_ATTEMPTS,
        "LookupError",
    )
    assert f"job {job_id} failed" in caplog.text
    assert perform(job_id, fail, at=now + timedelta(days=1)) is False


def test_what_is_away_for_an_hour_strands_no_job():
    # Fault 59: an outage is longer than a few tries in a row.
    [job_id] = write(1)
    back_at, now, done = NOW + timedelta(hours=1), NOW, []

    def store_or_fail(job):
        if now < back_at:
            raise ConnectionError
        done.append(now)

    while not done:
        with contextlib.suppress(ConnectionError):
            perform(job_id, store_or_fail, at=now)
        now = Job.objects.get(pk=job_id).due_at if not done else now
        assert Job.objects.get(pk=job_id).state != JobState.FAILED

    assert Job.objects.get(pk=job_id).state == JobState.DONE
    assert done[0] - back_at <= timedelta(minutes=15)


def test_failures_before_do_not_count_as_workers_lost(settings):
    [job_id] = write(1)
    now = NOW
    for _ in range(5):
        with pytest.raises(LookupError):
            perform(job_id, fail, at=now)
        now = Job.objects.get(pk=job_id).due_at
    jobs.claim(job_id=job_id, now=now)

    again = jobs.claim(job_id=job_id, now=now + timedelta(seconds=settings.JOB_LEASE_S))

    assert again is not None
    assert (again.attempts, again.workers_lost) == (7, 1)


def test_a_job_that_fails_beside_a_newer_twin_leaves_the_work_to_it():
    [old] = write(1)

    # Between claim and failure another transaction queues the subject anew.
    job = jobs.claim(job_id=old, now=NOW)
    [twin] = write(1)
    jobs._put_back(job=job, problem="LookupError", now=NOW)

    states = dict(Job.objects.values_list("pk", "state"))
    assert states == {old: JobState.CANCELLED, twin: JobState.QUEUED}


def test_a_holder_that_lost_its_lease_stores_nothing(north, settings):
    [job_id] = write(1, contractor_id=north.contractor.pk)
    later = NOW + timedelta(seconds=settings.JOB_LEASE_S)

    def too_slow(job):
        Owner.objects.update(name="too late")
        assert jobs.claim(job_id=job_id, now=later)

    # In life the other worker's claim is another transaction and stays.
    assert perform(job_id, too_slow) is False

    callers.confine(north)
    assert not Owner.objects.filter(name="too late").exists()


# --- sweeping -------------------------------------------------------------------------
def test_the_sweeper_finds_what_is_due_and_held_by_nobody(settings):
    waiting, later, running, dead, done = (write(n)[0] for n in range(5))
    lease = timedelta(seconds=settings.JOB_LEASE_S)
    Job.objects.filter(pk=later).update(due_at=NOW + timedelta(seconds=1))
    Job.objects.filter(pk=running).update(
        state=JobState.RUNNING, lease_until=NOW + lease
    )
    Job.objects.filter(pk=dead).update(state=JobState.RUNNING, lease_until=NOW)
    Job.objects.filter(pk=done).update(state=JobState.DONE)

    assert jobs.due(now=NOW) == [(waiting, KIND), (dead, KIND)]


def test_the_sweeper_rings_in_turns_for_each_contractor():
    large = [write(n, due_at=NOW - timedelta(hours=1))[0] for n in range(5)]
    [small] = jobs.write(kind=KIND, contractor_id=77, subject_ids=[9], due_at=NOW)

    assert [job_id for job_id, _ in jobs.due(now=NOW, limit=3)] == [
        large[0],
        small,
        large[1],
    ]


def test_the_sweeper_takes_the_longest_waiting_first_and_not_all_at_once():
    ids = [write(n, due_at=NOW - timedelta(minutes=n))[0] for n in range(3)]

    assert [job_id for job_id, _ in jobs.due(now=NOW, limit=2)] == [ids[2], ids[1]]
