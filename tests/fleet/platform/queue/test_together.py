"""Jobs done with their neighbours: none is lost, done twice or held up by another."""

import threading
from datetime import timedelta

import pytest
from django.db import OperationalError, connection, transaction

from fleet.models import Job, Owner
from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.queue import jobs, together
from tests import callers, factories

pytestmark = pytest.mark.django_db

NOW = factories.NOW
KIND = "inspections.tasks.assess"


def write(*subjects, contractor_id=1, due_at=NOW, kind=KIND):
    return jobs.write(
        kind=kind, contractor_id=contractor_id, subject_ids=subjects, due_at=due_at
    )


def perform(job_id, activity, *, at=NOW):
    return together.perform(job_id=job_id, activity=activity, clock=lambda: at)


class Noted:
    """An activity that notes which subjects it was given, call by call."""

    def __init__(self, *, bad=(), fault=LookupError):
        self.calls, self.bad, self.fault = [], set(bad), fault

    def __call__(self, some):
        self.calls.append([job.subject_id for job in some])
        Owner.objects.filter(code="TOUCHED").delete()
        if self.bad & {job.subject_id for job in some}:
            raise self.fault


def states():
    return dict(Job.objects.values_list("subject_id", "state"))


# --- who belongs together -------------------------------------------------------------
def test_a_message_that_comes_too_late_does_those_written_next():
    ids = write(1, 2, 3, 4)
    noted = Noted()
    # Another holds the second, so the piece of the first has not taken it.
    assert jobs.claim(job_id=ids[1], now=NOW)
    Job.objects.filter(pk__gt=ids[1]).update(due_at=NOW + timedelta(seconds=1))
    assert perform(ids[0], noted) == 1

    assert perform(ids[1], noted, at=NOW + timedelta(seconds=1)) == 2

    assert noted.calls == [[1], [3, 4]]


def test_of_two_messages_that_come_too_late_neither_does_nothing(monkeypatch):
    ids = write(1, 2, 3, 4)
    noted, claim = Noted(), jobs.claim
    assert claim(job_id=ids[0], now=NOW)

    def claimed_by_another_first(*, job_id, now):
        if job_id == ids[1]:
            claim(job_id=job_id, now=now)
        return claim(job_id=job_id, now=now)

    monkeypatch.setattr(jobs, "claim", claimed_by_another_first)

    assert perform(ids[0], noted) == 2
    assert noted.calls == [[3, 4]]


def test_a_message_that_comes_too_late_does_nothing_of_others_or_of_other_kinds():
    [own] = write(1)
    noted = Noted()
    assert perform(own, noted) == 1
    write(2, contractor_id=2)
    write(3, kind="inspections.tasks.project")
    write(4, due_at=NOW + timedelta(hours=1))
    [tried] = write(5)
    Job.objects.filter(pk=tried).update(attempts=1)

    assert perform(own, noted) == 0

    assert noted.calls == [[1]]


def test_a_backlog_is_rung_for_in_pieces_each_contractor_in_turn():
    first, second = write(*range(25)), write(*range(5), contractor_id=2)
    alone = write(1, kind="inspections.tasks.warn")
    Job.objects.filter(pk=first[3]).update(attempts=1)

    found = together.pieces(jobs.due(now=NOW))

    fresh = [pk for pk in first if pk != first[3]]
    told = [each.ids for each in found]
    assert told[:2] == [fresh[:20], second]
    assert sorted(told[2:]) == sorted([[first[3]], fresh[20:], alone])


def test_whoever_hears_for_pieces_has_done_all_of_a_backlog():
    ids = write(*range(1, 51))
    noted = Noted()

    done = [perform(each.ids[0], noted) for each in together.pieces(jobs.due(now=NOW))]

    assert (done, sum(done)) == ([20, 20, 10], len(ids))
    assert set(states().values()) == {JobState.DONE}


def test_a_job_is_done_with_those_written_next():
    ids = write(1, 2, 3)
    noted = Noted()

    assert perform(ids[0], noted) == 3
    assert [perform(job_id, noted) for job_id in ids] == [0, 0, 0]

    assert noted.calls == [[1, 2, 3]]
    rows = Job.objects.values_list("state", "attempts", "finished_at", "lease_until")
    assert set(rows) == {(JobState.DONE, 1, NOW, None)}


def test_those_written_before_are_left_to_their_own_message():
    ids = write(1, 2, 3)
    noted = Noted()

    perform(ids[1], noted)

    assert noted.calls == [[2, 3]]
    assert states()[1] == JobState.QUEUED


def test_no_more_are_done_together_than_one_turn_of_the_bell():
    ids = write(*range(1, 46))
    noted = Noted()

    for job_id in ids:
        perform(job_id, noted)

    assert [len(call) for call in noted.calls] == [20, 20, 5]


def test_jobs_of_others_of_other_kinds_and_of_later_are_no_neighbours():
    [first] = write(1)
    write(2, contractor_id=2)
    write(3, kind="inspections.tasks.project")
    write(4, due_at=NOW + timedelta(seconds=1))
    noted = Noted()

    assert perform(first, noted) == 1

    assert noted.calls == [[1]]
    assert set(Job.objects.exclude(pk=first).values_list("state", "attempts")) == {
        (JobState.QUEUED, 0)
    }


@pytest.mark.parametrize(
    "tried", [{"attempts": 1}, {"workers_lost": 1, "attempts": 1}, {"state": "RUNNING"}]
)
def test_what_was_tried_or_is_held_is_no_neighbour_and_has_none(tried):
    first, second, third = write(1, 2, 3)
    Job.objects.filter(pk=second).update(**tried)
    noted = Noted()

    perform(first, noted)
    perform(second, noted)

    assert noted.calls[0] == [1, 3]
    assert noted.calls[1:] == ([] if "state" in tried else [[2]])
    assert third


def test_a_job_whose_worker_died_is_alone(settings):
    first, *_ = write(1, 2)
    jobs.claim(job_id=first, now=NOW)
    noted = Noted()

    perform(first, noted, at=NOW + timedelta(seconds=settings.JOB_LEASE_S))

    assert noted.calls == [[1]]


# --- when something goes wrong: fault 87 ---------------------------------------------
@pytest.mark.parametrize("bad", [1, 2, 3])
def test_one_that_fails_holds_up_no_neighbour(bad, caplog):
    ids = write(1, 2, 3)
    noted = Noted(bad=[bad])

    with pytest.raises(LookupError):
        perform(ids[0], noted)

    assert noted.calls == [[1, 2, 3], [1], [2], [3]]
    others = {1, 2, 3} - {bad}
    assert states() == {bad: JobState.QUEUED} | dict.fromkeys(others, JobState.DONE)
    failed = Job.objects.get(subject_id=bad)
    assert (failed.attempts, failed.problem) == (1, "LookupError")
    assert failed.due_at == NOW + jobs.FIRST_RETRY
    assert "one by one" in caplog.text


def test_nothing_of_a_failed_piece_is_stored(north, settings):
    ids = write(1, 2, contractor_id=north.contractor.pk)

    def half(some):
        names = ",".join(str(job.subject_id) for job in some)
        Owner.objects.create(contractor=north.contractor, name=names, code=names)
        if len(some) > 1:
            raise OperationalError

    assert perform(ids[0], half) == 2

    callers.confine(north)
    made = Owner.objects.filter(code__in=["1,2", "1", "2"])
    assert set(made.values_list("code", flat=True)) == {"1", "2"}


def test_one_that_is_put_off_puts_off_no_neighbour():
    ids = write(1, 2, 3)
    wait = timedelta(minutes=1)
    noted = Noted(bad=[2], fault=jobs.NotNow("first the fleet", wait=wait))

    assert perform(ids[0], noted) == 2

    put_off = Job.objects.get(subject_id=2)
    assert (put_off.state, put_off.attempts) == (JobState.QUEUED, 0)
    assert (put_off.due_at, put_off.problem) == (NOW + wait, "NotNow")
    assert {states()[1], states()[3]} == {JobState.DONE}


@pytest.mark.django_db(transaction=True)
def test_whoever_lost_one_of_them_stores_nothing_of_it_and_does_the_others(settings):
    north = factories.cast()
    ids = write(1, 2, 3, contractor_id=north.contractor.pk)
    later = NOW + timedelta(seconds=settings.JOB_LEASE_S)
    calls = []

    def take_over():
        jobs.claim(job_id=ids[1], now=later)
        connection.close()

    def too_slow(some):
        calls.append([job.subject_id for job in some])
        Owner.objects.update(name=str(calls[-1]))
        if len(some) > 1:
            other = threading.Thread(target=take_over)
            other.start()
            other.join(10)

    assert perform(ids[0], too_slow) == 2

    assert states() == {1: JobState.DONE, 2: JobState.RUNNING, 3: JobState.DONE}
    assert calls == [[1, 2, 3], [1], [2], [3]]
    with tenancy.acting_for(contractor_id=north.contractor.pk):
        assert set(Owner.objects.values_list("name", flat=True)) == {"[3]"}


def test_neighbours_of_a_dead_worker_are_done_alone_when_the_lease_is_over(settings):
    ids = write(1, 2, 3)

    class Killed(BaseException):
        pass

    def die(some):
        raise Killed

    with pytest.raises(Killed):
        perform(ids[0], die)
    after = NOW + timedelta(seconds=settings.JOB_LEASE_S)
    assert sorted(pk for pk, _ in jobs.due(now=after)) == sorted(ids)

    noted = Noted()
    for job_id in ids:
        assert perform(job_id, noted, at=NOW + timedelta(seconds=1)) == 0
        assert perform(job_id, noted, at=after) == 1
    assert noted.calls == [[1], [2], [3]]
    assert set(Job.objects.values_list("attempts", "workers_lost")) == {(2, 1)}


def test_a_subject_that_is_queued_again_meanwhile_is_done_again():
    ids = write(1, 2)
    noted = Noted()

    def and_again(some):
        noted(some)
        if len(noted.calls) == 1:
            assert len(write(2)) == 1

    perform(ids[0], and_again)

    [again] = Job.objects.filter(state=JobState.QUEUED)
    assert again.subject_id == 2
    assert perform(again.pk, noted) == 1
    assert noted.calls == [[1, 2], [2]]


def test_those_that_wait_for_their_neighbours_keep_their_lease(settings):
    ids = write(1, 2, 3)
    now, seen = [NOW], []

    def slow(some):
        if len(some) > 1:
            raise LookupError
        seen.append(Job.objects.get(pk=ids[2]).lease_until)
        now[0] += timedelta(seconds=settings.JOB_LEASE_S - 1)

    done = together.perform(job_id=ids[0], activity=slow, clock=lambda: now[0])

    assert done == 3
    lease = timedelta(seconds=settings.JOB_LEASE_S)
    assert seen == [NOW + lease * n - timedelta(seconds=n - 1) for n in (1, 2, 3)]


# --- at the same time -----------------------------------------------------------------
@pytest.mark.django_db(transaction=True)
def test_a_cause_that_is_not_committed_is_not_missed_and_not_waited_for():
    ids = write(1, 2, 3)
    noted, started = Noted(), threading.Event()

    def work():
        started.set()
        perform(ids[0], noted)
        connection.close()

    worker = threading.Thread(target=work)
    with transaction.atomic():
        # A new cause for the second one: it must not be done before that is seen.
        assert write(2) == []
        worker.start()
        worker.join(10)
        assert noted.calls == [[1, 3]]

    assert perform(ids[1], noted) == 1
    assert noted.calls == [[1, 3], [2]]


@pytest.mark.django_db(transaction=True)
def test_workers_at_once_do_each_job_once():
    ids = write(*range(1, 61))
    start, noted, done = threading.Barrier(6), Noted(), []

    def work(mine):
        start.wait(10)
        done.extend(perform(job_id, noted) for job_id in mine)
        connection.close()

    workers = [threading.Thread(target=work, args=[ids[n::6]]) for n in range(6)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(30)

    assert sum(done) == 60
    assert sorted(subject for call in noted.calls for subject in call) == [
        *range(1, 61)
    ]
    assert set(Job.objects.values_list("state", "attempts")) == {(JobState.DONE, 1)}


@pytest.mark.django_db(transaction=True)
def test_rows_and_ends_are_one_transaction():
    cast = factories.cast()
    ids = write(1, 2, contractor_id=cast.contractor.pk)

    def rename(some):
        assert connection.in_atomic_block
        Owner.objects.update(name="renamed")

    assert perform(ids[0], rename) == 2

    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        assert set(Owner.objects.values_list("name", flat=True)) == {"renamed"}
    assert set(Job.objects.values_list("state", flat=True)) == {JobState.DONE}
