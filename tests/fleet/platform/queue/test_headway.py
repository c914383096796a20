"""How far a job has come is seen while it is still at work."""

from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.utils import timezone

from fleet.models import Job
from fleet.platform.queue import jobs
from fleet.platform.queue.headway import Headway

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def job():
    now = timezone.now()
    [job_id] = jobs.write(kind="any", contractor_id=1, subject_ids=[1], due_at=now)
    found = jobs.claim(job_id=job_id, now=now)
    assert found is not None
    return found


def seen(job):
    """Return what another connection sees of a job."""
    other = connection.copy()
    try:
        with other.cursor() as cursor:
            cursor.execute(
                "SELECT parts_done, parts, lease_until FROM fleet_job WHERE id = %s",
                [job.pk],
            )
            return cursor.fetchone()
    finally:
        other.close()


def test_what_is_told_is_seen_before_the_work_is_committed(job):
    headway = Headway(job, clock=timezone.now)
    with transaction.atomic():
        headway.tell(3, 10)

        assert seen(job)[:2] == (3, 10)
    headway.close()


def test_the_lease_is_held_as_long_as_there_are_pieces(job):
    now = [timezone.now()]
    headway = Headway(job, clock=lambda: now[0])
    headway.tell(3, 10)
    first = seen(job)[2]

    headway.hold()
    assert seen(job)[2] == first
    now[0] += timedelta(minutes=10)
    headway.hold()

    assert seen(job) == (3, 10, first + timedelta(minutes=10))
    headway.close()


def test_a_holder_that_was_taken_over_tells_nothing_any_more(job):
    headway = Headway(job, clock=timezone.now)
    Job.objects.filter(pk=job.pk).update(attempts=job.attempts + 1)

    headway.tell(3, 10)

    assert seen(job)[:2] == (None, None)
    headway.close()
