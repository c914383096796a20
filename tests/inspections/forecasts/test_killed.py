"""A fleet's run that is killed anywhere ends as an undisturbed one does."""

import subprocess
import sys
import time
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.db.utils import OperationalError

from fleet.models import Job
from fleet.platform.database.tenancy import acting_for
from fleet.platform.queue import jobs
from inspections import forecasts, tasks
from inspections.forecasts import computing
from inspections.models import ForecastRun, WearTrack
from tests import factories
from tests.inspections.forecasts import dying, stored
from tests.inspections.forecasts.stored import NOW

pytestmark = [
    pytest.mark.long,
    pytest.mark.processes,
    pytest.mark.django_db(transaction=True),
]

ROOT = Path(__file__).resolve().parents[3]
LEASE_OVER = timedelta(minutes=16)
LATER = NOW + 40 * timedelta(days=1)


@pytest.fixture
def north():
    """Return a contractor with forecasts of a month ago and one reading more since."""
    with transaction.atomic():
        cast = factories.cast()
        machines = stored.estate(cast, count=2)
    stored.night(cast)
    with acting_for(contractor_id=cast.contractor.pk):
        stored.add(machines[0].wear_tracks.first(), [(6.4, 0.8)])
        # one machine's courses must be made anew by the run
        WearTrack.objects.filter(machine__code="MH-1").update(prepared_by="0")
    return cast


@pytest.fixture
def begin(tmp_path):
    """Return how to begin a worker; what it says on its way is kept in a file."""
    with (tmp_path / "said").open("w+") as told:

        def begun(step, job_id, at, *more):
            words = [step, str(job_id), at.isoformat(), *map(str, more)]
            return subprocess.Popen(
                [sys.executable, "-m", dying.__name__, *words], cwd=ROOT, stderr=told
            )

        yield begun
        told.seek(0)
        sys.stderr.write(told.read())


def job(cast):
    """Write the job of a new run; return its id."""
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        run_id = forecasts.order_run(scope=scope, now=LATER)
        (job_id,) = jobs.write(
            kind=tasks.FORECAST_FLEET,
            contractor_id=scope.contractor_id,
            subject_ids=[run_id],
            due_at=LATER,
        )
    return job_id


def said(cast):
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        return stored.said(scope)


def do(job_id, at):
    return jobs.perform(job_id=job_id, activity=tasks._forecast_fleet, clock=lambda: at)


def runs(cast):
    with acting_for(contractor_id=cast.contractor.pk):
        return list(ForecastRun.objects.order_by("pk").values_list("state", flat=True))


# Fault 1: the worker is killed at each step of the run.
def test_run_killed_at_any_step_is_done_again_as_if_nothing_had_been(north, begin):
    before = said(north)
    job_id = job(north)
    at = LATER
    for step in dying.STEPS:
        assert begin(step, job_id, at).wait(60) == -9, step
        assert said(north) == before, step
        held = Job.objects.get(pk=job_id)
        assert held.state == "RUNNING", step
        # counted as workers lost, or the third would be the last
        Job.objects.filter(pk=job_id).update(attempts=0, workers_lost=0)
        at = held.lease_until + timedelta(seconds=1)

    assert do(job_id, at)

    after = said(north)
    _undo(north)
    assert do(job(north), at)
    assert said(north) == after != before
    assert runs(north)[-1] == "DONE"


def _undo(cast):
    """Take the new forecasts away and make the old ones stand again."""
    with acting_for(contractor_id=cast.contractor.pk), connection.cursor() as cursor:
        cursor.execute("UPDATE inspections_machinestate SET first_id = NULL")
        cursor.execute("DELETE FROM inspections_forecast WHERE as_of >= %s", [LATER])
        cursor.execute("UPDATE inspections_forecast SET current = true")


# Fault 2: only the worker's main process is killed, its child works on as an orphan
# beyond the lease, and a second worker takes the job.
def test_orphan_that_works_on_beside_a_second_worker_does_no_harm(
    north, begin, tmp_path
):
    job_id = job(north)
    gate = tmp_path / "gate"
    gate.touch()
    orphan = begin(dying.HOLD, job_id, LATER, gate)
    _wait_for(gate.with_suffix(".reached"))
    second = begin("", job_id, LATER + LEASE_OVER)
    _wait_until_claimed(job_id, attempts=2)

    gate.unlink()

    assert orphan.wait(60) == 0
    assert second.wait(60) == 0
    ended = Job.objects.get(pk=job_id)
    assert (ended.state, ended.attempts) == ("DONE", 2)
    rows = [row for row in said(north) if row["current"]]
    places = {(r["machine_id"], r["quantity"], r["place"]) for r in rows}
    assert len(places) == len(rows) > 6
    assert runs(north) == ["DONE", "DONE"]


def _wait_for(path):
    for _ in range(600):
        if path.exists():
            return
        time.sleep(0.05)
    raise AssertionError(f"{path.name} never came")


def _wait_until_claimed(job_id, *, attempts):
    for _ in range(600):
        if Job.objects.get(pk=job_id).attempts == attempts:
            return
        time.sleep(0.05)
    raise AssertionError("the second worker never claimed the job")


# Fault 3: a run that kills its worker each time fails after three tries, no loop.
def test_run_that_always_kills_its_worker_fails_and_yesterdays_forecasts_stand(
    north, begin
):
    before = said(north)
    job_id, at = job(north), LATER
    for _ in range(3):
        assert begin("results.begin", job_id, at).wait(60) == -9
        at += LEASE_OVER

    assert not do(job_id, at)

    assert Job.objects.get(pk=job_id).state == "FAILED"
    assert said(north) == before


# Fault 7: the database goes away in the middle; the job waits for another try.
def test_run_whose_database_is_killed_waits_and_is_done_later(north, monkeypatch):
    before = said(north)
    job_id = job(north)
    compute = computing.compute

    def cut_off(**given):
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")
        return compute(**given)

    with monkeypatch.context() as patched:
        patched.setattr(computing, "compute", cut_off)
        with pytest.raises(OperationalError):
            do(job_id, LATER)

    waiting = Job.objects.get(pk=job_id)
    assert waiting.state == "QUEUED"
    assert said(north) == before
    assert do(job_id, waiting.due_at)
    assert said(north) != before
