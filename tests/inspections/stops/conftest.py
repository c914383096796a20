import pytest
import time_machine

from fleet.models import Job, Machine, Person
from inspections import tasks
from inspections.intake.accepting import ASSESS
from inspections.models import Stop, StopEvent
from tests import callers, factories
from tests.reports.conftest import mail, no_mail_server  # noqa: F401

ANNA = "anna@lifts.example"
SLIP = {"kind": "slip_seen", "rope": None, "value": "yes"}
NO_SLIP = {"kind": "slip_seen", "rope": None, "value": "no"}


@pytest.fixture
def north() -> factories.Cast:
    found = factories.cast(code="north")
    Person.objects.filter(username="north-office").update(email=ANNA)
    return found


@pytest.fixture(autouse=True)
def no_bell(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)


@pytest.fixture
def clock():
    with time_machine.travel(factories.NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture
def assess(north):
    """Assess whatever waits, as a worker would."""

    def done():
        queued = Job.objects.filter(kind=ASSESS, state="QUEUED")
        for pk in list(queued.values_list("pk", flat=True)):
            tasks.assess(job_id=pk)
            callers.confine(north)

    return done


@pytest.fixture
def read(north, clock):
    """Send one visit's readings, each under a reference of its own."""
    count = 0

    def send(*readings, at="2026-05-04T10:00:00+01:00", role="TECHNICIAN", **visit):
        nonlocal count
        count += 1
        named = [
            {"reference": f"s-{count}-{number}", **each}
            for number, each in enumerate(readings)
        ]
        body = factories.upload(*named, reference=f"sv-{count}", visited_at=at, **visit)
        answer = callers.upload(north, body, role=role)
        assert answer.status_code == 207, answer.content
        callers.confine(north)
        return answer.json()

    return send


def stops(cast, **only):
    callers.confine(cast)
    return list(Stop.objects.filter(**only).order_by("pk"))


def kinds(stop):
    rows = StopEvent.objects.filter(stop=stop).order_by("pk")
    return [str(kind) for kind in rows.values_list("kind", flat=True)]


def machine(cast, code="MH-1"):
    callers.confine(cast)
    return Machine.objects.get(code=code)


def mark_competent(cast, role="OFFICE", until="2030-01-01"):
    member = cast.memberships[role]
    member.qualification, member.competent_until = "rope inspection", until
    member.save()


def ask(cast, stop, what, body, *, role="OFFICE", tag=None, **how):
    """Ask for a release as someone who has just read the stop."""
    path = f"/api/v1/stops/{stop.pk}"
    if tag is None:
        tag = callers.call(cast, "GET", path, role="OFFICE")["ETag"]
    return callers.call(
        cast, "POST", f"{path}/{what}", body, role=role, If_Match=tag, **how
    )


def repair(cast, *readings, day="2026-05-05", kind="REPAIR", **body):
    """Report work with what was read as left."""
    named = [
        {
            "reference": f"left-{day}-{n}",
            **{k: v for k, v in r.items() if v is not None},
        }
        for n, r in enumerate(readings)
    ]
    as_left = {
        "reference": f"left-{day}",
        "visited_at": f"{day}T15:00:00+01:00",
        "readings": named,
    }
    body = {"kind": kind, "done_on": day, "done_by": "crew 4", **body}
    if named:
        body["as_left"] = as_left
    path = f"/api/v1/machines/{machine(cast).pk}/works"
    answer = callers.call(cast, "POST", path, body, role="TECHNICIAN")
    assert answer.status_code == 201, answer.content
    callers.confine(cast)
    return answer.json()["works"][0]["id"]
