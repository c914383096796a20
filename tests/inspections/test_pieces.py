"""A night takes machines in pieces: what it says of each is as if it were alone.

Fault 87.
"""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from fleet.models import Job, Machine
from fleet.platform.database import tenancy
from fleet.platform.queue import jobs, together
from fleet.platform.queue import tasks as queue
from inspections import assessment, options, tasks
from inspections.assessment import assessing
from inspections.intake.accepting import ASSESS
from inspections.models import (
    Assessment,
    DueWork,
    Finding,
    Forecast,
    MachineState,
    OptionSet,
    WearLimit,
)
from tests.benchmarks import assessed_fleet

# Readings are copied in by the tables' owner, who does not see what is not committed.
pytestmark = pytest.mark.django_db(transaction=True)

# One after the other, each written by the one before.
DONE_BY = {
    ASSESS: tasks.assess,
    assessment.PROJECT: tasks.project,
    options.OF_MACHINE: tasks.work_out_options,
}
SAID = (Assessment, Finding, WearLimit, Forecast, OptionSet, DueWork, MachineState)
# Numbers of rows, what is made of them, and the server's clock: each run has its own.
NUMBERS = {
    "id",
    "assessment_id",
    "created_at",
    "first_id",
    "option_set_id",
    "run_id",
    "says_most_id",
    "track_id",
}
OF_NUMBERS = {"assessment", "forecasts"}


@pytest.fixture
def machines(monkeypatch) -> Iterator[list[int]]:
    """Four machines with three visits each, and a job to assess each of them."""
    monkeypatch.setattr(queue.current_app, "send_task", lambda *_, **__: None)
    with time_machine.travel(assessed_fleet.AS_OF, tick=False):
        contractor = assessed_fleet.make(machines=4)
        with tenancy.acting_for(contractor_id=contractor.pk):
            found = list(Machine.objects.order_by("pk").values_list("pk", flat=True))
        Job.objects.all().delete()
        jobs.write(
            kind=ASSESS,
            contractor_id=contractor.pk,
            subject_ids=found,
            due_at=assessed_fleet.AS_OF,
        )
        yield found


def work(kind: str) -> int:
    """Ring for every job of a kind; return how many queries that took."""
    waiting = Job.objects.filter(kind=kind, state="QUEUED").order_by("pk")
    ids = list(waiting.values_list("pk", flat=True))
    with CaptureQueriesContext(connection) as asked:
        for job_id in ids:
            DONE_BY[kind](job_id=job_id)
    return len(asked)


def said() -> dict[str, list[dict[str, Any]]]:
    """Return everything that was worked out, without the numbers of rows."""
    contractor = Job.objects.values_list("contractor_id", flat=True)[0]
    tenancy.confine(contractor_id=contractor)
    return {
        model.__name__: sorted(
            (_without_numbers(model, row) for row in model.objects.values()), key=str
        )
        for model in SAID
    }


def _without_numbers(model: type, row: dict[str, Any]) -> dict[str, Any]:
    kept = {name: value for name, value in row.items() if name not in NUMBERS}
    if model is OptionSet:
        kept["facts"] = {k: v for k, v in row["facts"].items() if k not in OF_NUMBERS}
        del kept["inputs_digest"]
    return kept


@pytest.mark.usefixtures("machines")
def test_a_piece_says_what_one_by_one_says_and_asks_less(monkeypatch):
    found, asked = {}, {}
    for most in (1, 20):
        with monkeypatch.context() as patched, transaction.atomic():
            patched.setattr(together, "MOST", most)
            asked[most] = [work(kind) for kind in DONE_BY]
            found[most] = said()
            transaction.set_rollback(True)

    for table, rows in found[1].items():
        assert found[20][table] == rows, table
    assert all(found[1].values())
    for alone, piece in zip(asked[1], asked[20], strict=True):
        assert piece < alone / 2


def test_a_machine_that_cannot_be_judged_holds_up_no_neighbour(machines, monkeypatch):
    judge = assessing.judge

    def fails_at_one(snapshot):
        if snapshot.machine.pk == machines[1]:
            raise LookupError
        return judge(snapshot)

    monkeypatch.setattr(assessing, "judge", fails_at_one)
    first = Job.objects.earliest("pk")

    with pytest.raises(LookupError):
        tasks.assess(job_id=first.pk)

    with tenancy.acting_for(contractor_id=first.contractor_id):
        judged = set(Assessment.objects.values_list("machine_id", flat=True))
    assert judged == set(machines) - {machines[1]}
    [waiting] = Job.objects.filter(kind=ASSESS).exclude(state="DONE")
    assert (waiting.subject_id, waiting.state, waiting.attempts) == (
        machines[1],
        "QUEUED",
        1,
    )
    projected = Job.objects.filter(kind=assessment.PROJECT)
    assert set(projected.values_list("subject_id", flat=True)) == judged
