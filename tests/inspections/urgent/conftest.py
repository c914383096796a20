from datetime import timedelta

import pytest
import time_machine

from fleet.models import Job, Person
from inspections import tasks, urgent
from tests import callers, factories
from tests.reports.conftest import mail, no_mail_server  # noqa: F401

ANNA, BO = "anna@lifts.example", "bo@lifts.example"


@pytest.fixture
def north() -> factories.Cast:
    found = factories.cast(code="north")
    Person.objects.filter(username="north-office").update(email=ANNA)
    Person.objects.filter(username="north-tech").update(email="tech@lifts.example")
    return found


@pytest.fixture(autouse=True)
def no_bell(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)


@pytest.fixture
def clock():
    with time_machine.travel(factories.NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture
def work(north, clock):
    """Let time pass and the queued mails be sent, as a worker would."""

    def done(**wait):
        clock.shift(timedelta(**wait))
        queued = Job.objects.filter(kind=urgent.WARN, state="QUEUED")
        for pk in list(queued.values_list("pk", flat=True)):
            tasks.warn(job_id=pk)
            callers.confine(north)

    return done
