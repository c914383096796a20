"""What corrected rules stop: one mail to each of the office, for all machines."""

from datetime import timedelta

import pytest

from fleet.models import Building, Job
from fleet.register import registry
from inspections import tasks, urgent
from inspections.models import Assessment, Cause, Finding, UrgentMail
from tests import callers, factories
from tests.factories import NOW
from tests.inspections.assessment.visits import assess, send, thin
from tests.inspections.urgent.conftest import ANNA

pytestmark = pytest.mark.django_db

MACHINES = ("MH-1", "MH-2")
DIAMETER = "diameter_reduction_nominal"


def add_machine(cast, code):
    callers.confine(cast)
    entry = factories.undercut_machine() | {"code": code}
    registry._register_machine(
        building=Building.objects.get(code="mill-house"), entry=entry
    )


def tell_of(cast, *codes, at=NOW):
    ids = [factories.machine(cast.scope(), code).pk for code in codes]
    urgent.tell_of_findings(scope=cast.scope(), machine_ids=ids, now=at)


@pytest.fixture
def judged(north, clock):
    """Return the contractor; two machines were read and judged, and nothing is due."""
    add_machine(north, "MH-2")
    for code in MACHINES:
        send(north, *thin("2.0"), machine=code)
        assess(north, code)
    tell_of(north, *MACHINES)
    assert not UrgentMail.objects.exists()
    Job.objects.all().delete()
    return north


@pytest.fixture
def corrected(judged, correct):
    """Halve the limit of the ropes, and judge both machines anew."""
    correct("EN_81_20", DIAMETER, 0.5)
    for code in MACHINES:
        assess(judged, code, at=NOW)
        tell_of(judged, code)
    assert set(Assessment.objects.values_list("cause", flat=True)) == {
        Cause.FACTS,
        Cause.RULES,
    }
    return judged


def waiting(kind):
    return Job.objects.filter(kind=kind, state="QUEUED")


def tell(cast, *, after):
    callers.confine(cast)
    urgent.tell_together(scope=cast.scope(), now=NOW + after)


def test_one_mail_to_each_tells_of_all_machines(corrected, work, mail):
    assert not UrgentMail.objects.exists()
    [job] = waiting(urgent.TELL_TOGETHER)

    tell(corrected, after=timedelta(minutes=10))
    callers.confine(corrected)

    [row] = UrgentMail.objects.all()
    assert row.address == ANNA
    assert len(row.further) == 1
    work(minutes=10)
    [sent] = mail.mails()
    assert sent["Subject"] == "OUT OF SERVICE: MH-1, MH-2"
    assert "The rules changed, not the machine" in sent.get_content()
    assert sent.get_content().count("Lift MH-") == 2
    assert (
        "This is not an inspection and does not authorise operation"
        in sent.get_content()
    )
    assert job.due_at > NOW

    tell(corrected, after=timedelta(minutes=20))
    tell_of(corrected, *MACHINES, at=NOW + timedelta(days=1))
    tell(corrected, after=timedelta(days=1))
    assert UrgentMail.objects.count() == 1


def test_the_mail_waits_while_machines_are_being_judged(corrected):
    machine = factories.machine(corrected.scope()).pk
    Job.objects.create(
        kind="inspections.tasks.assess",
        contractor_id=corrected.contractor.pk,
        subject_id=machine,
        key=str(machine),
        due_at=NOW,
    )
    waiting(urgent.TELL_TOGETHER).delete()

    tell(corrected, after=timedelta(minutes=10))
    assert not UrgentMail.objects.exists()
    assert waiting(urgent.TELL_TOGETHER).count() == 1

    tell(corrected, after=timedelta(hours=1))
    assert UrgentMail.objects.count() == 1


def test_the_worker_s_job_tells(corrected, clock):
    clock.shift(timedelta(minutes=11))
    [job] = waiting(urgent.TELL_TOGETHER)

    tasks.tell_together(job_id=job.pk)

    callers.confine(corrected)
    assert UrgentMail.objects.count() == 1


def test_a_stop_that_stood_before_is_not_mailed_again(corrected, correct):
    tell(corrected, after=timedelta(hours=1))
    callers.confine(corrected)
    stops = Finding.objects.filter(current=True, stops_service=True).count()
    assert stops
    correct("EN_81_20", DIAMETER, 0.8)
    before = Assessment.objects.count()

    for code in MACHINES:
        assess(corrected, code, at=NOW + timedelta(days=1))
        tell_of(corrected, code, at=NOW + timedelta(days=1))
    tell(corrected, after=timedelta(days=2))

    callers.confine(corrected)
    assert Assessment.objects.count() == before + 2
    current = Finding.objects.filter(current=True, stops_service=True)
    assert current.count() == stops
    assert UrgentMail.objects.count() == 1


def test_what_was_read_is_told_at_once_whatever_else_changed(judged, correct):
    correct("EN_81_20", DIAMETER, 0.5)
    send(judged, *thin("1.9"), day="2026-05-20")
    assess(judged, "MH-1", at=NOW)
    tell_of(judged, "MH-1")

    [row] = UrgentMail.objects.all()
    assert row.assessment.cause == Cause.BOTH
    assert not waiting(urgent.TELL_TOGETHER).exists()
