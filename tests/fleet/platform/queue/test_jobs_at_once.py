"""Two workers, or a writer and a worker, at the same time."""

import threading

import pytest
from django.db import connection, transaction

from fleet.models import Job, Owner
from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.queue import jobs
from tests import factories

pytestmark = pytest.mark.django_db(transaction=True)

NOW = factories.NOW
KIND = "inspections.tasks.assess"


def write(*subjects, contractor_id=1, due_at=NOW):
    return jobs.write(
        kind=KIND, contractor_id=contractor_id, subject_ids=subjects, due_at=due_at
    )


def perform(job_id, activity, *, at=NOW):
    return jobs.perform(job_id=job_id, activity=activity, clock=lambda: at)


def test_a_cause_is_never_missed_by_a_worker_that_claims_meanwhile():
    """The lost wake-up: the waiting job must not be claimed and done before the
    transaction that relies on it has been committed."""
    [job_id] = write(1)
    joined, claimed = threading.Event(), threading.Event()
    order = []

    def claim():
        joined.wait(10)
        claimed.set()
        jobs.claim(job_id=job_id, now=NOW)
        order.append("claimed")
        connection.close()

    worker = threading.Thread(target=claim)
    worker.start()
    with transaction.atomic():
        assert write(1) == []
        joined.set()
        claimed.wait(10)
        worker.join(0.3)
        order.append("committed")
    worker.join(10)

    assert order == ["committed", "claimed"]


def test_eight_workers_claim_a_job_once():
    [job_id] = write(1)
    start, taken = threading.Barrier(8), []

    def claim():
        start.wait(10)
        if jobs.claim(job_id=job_id, now=NOW):
            taken.append(threading.get_ident())
        connection.close()

    workers = [threading.Thread(target=claim) for _ in range(8)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(10)

    assert len(taken) == 1


def test_result_and_end_are_one_transaction():
    cast = factories.cast()
    [job_id] = write(1, contractor_id=cast.contractor.pk)

    def rename(job):
        assert connection.in_atomic_block
        Owner.objects.update(name="renamed")

    perform(job_id, rename)

    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        assert set(Owner.objects.values_list("name", flat=True)) == {"renamed"}
    assert Job.objects.get(pk=job_id).state == JobState.DONE
