"""Long files: left to a worker, brought in whole or not at all, answered later."""

from datetime import timedelta

import pytest
from django.utils import timezone

from fleet.models import Change, Contractor, ImportFile, Job, Machine, Membership
from fleet.platform.queue.headway import Headway
from fleet.register.exchange import import_jobs, writing
from fleet.register.tasks import bring_in_file
from inspections.models import Reading
from tests import callers

pytestmark = pytest.mark.django_db

HEADER = "building,code,name,drive_kind,car_mass_kg\n"
GOOD = HEADER + "".join(f"mill-house,L-{n},Lift {n},GEARED,1100\n" for n in range(1, 7))
BAD = GOOD + "mill-house,L-9,Lift 9,GEARED,much\n"
READINGS = (
    "machine,visited_at,kind,rope,value,unit,station,direction\n"
    "MH-1,2026-03-02T09:10:00+01:00,rope_diameter,1,12.9,mm,car side,1\n"
    "MH-1,2026-03-02T09:10:00+01:00,rope_diameter,2,12.8,mm,car side,1\n"
)


@pytest.fixture(autouse=True)
def _few(settings):
    settings.IMPORT_ROWS_AT_ONCE = 2


def send(cast, text, name="machines", dry_run="false", **how):
    return callers.call(
        cast,
        "POST",
        f"/api/v1/imports/{name}?dry_run={dry_run}",
        raw=text.encode(),
        content_type="text/csv",
        **how,
    )


def look(cast, pk):
    answer = callers.call(cast, "GET", f"/api/v1/imports/{pk}")
    assert answer.status_code == 200, answer.content
    return answer.json()


def machines(cast):
    callers.confine(cast)
    return set(
        Machine.objects.filter(code__startswith="L-").values_list("code", flat=True)
    )


def test_a_long_file_is_left_to_a_worker_and_answered_at_its_address(north):
    answer = send(north, GOOD)

    assert answer.status_code == 202, answer.content
    row = answer.json()
    assert answer["Location"] == f"/api/v1/imports/{row['id']}"
    assert (row["status"], row["answer"], machines(north)) == (None, None, set())
    job = callers.call(north, "GET", f"/api/v1/jobs/{row['job']}").json()
    assert (job["kind"], job["state"]) == (import_jobs.BRING_IN, "QUEUED")

    bring_in_file(job_id=row["job"])

    done = look(north, row["id"])
    assert done["status"] == 200
    assert (done["answer"]["stored"], done["answer"]["created"]) == (True, 6)
    assert len(machines(north)) == 6
    assert Job.objects.filter(kind="inspections.tasks.assess", state="QUEUED").exists()
    assert ImportFile.objects.get().content is None


def test_a_short_one_is_answered_at_once(north, settings):
    settings.IMPORT_ROWS_AT_ONCE = 100

    answer = send(north, GOOD)

    assert (answer.status_code, answer.json()["created"]) == (200, 6)
    assert not ImportFile.objects.exists()


def test_a_look_stores_nothing_and_a_fault_stores_nothing(north):
    looked, faulty = send(north, GOOD, dry_run="true").json(), send(north, BAD).json()

    for row in (looked, faulty):
        bring_in_file(job_id=row["job"])

    seen = look(north, looked["id"])
    assert (seen["status"], seen["answer"]["created"]) == (200, 6)
    assert seen["answer"]["stored"] is False
    refused = look(north, faulty["id"])
    assert refused["status"] == 422
    assert [e["row"] for e in refused["answer"]["errors"]] == [8]
    assert machines(north) == set()


def test_what_is_no_table_is_told_as_its_answer(north):
    row = send(north, "PK\x03\x04\n\n\n\n").json()

    bring_in_file(job_id=row["job"])

    done = look(north, row["id"])
    assert (done["status"], done["answer"]["code"]) == (422, "not-a-table")


# Fault 62.
def test_a_worker_that_fails_at_the_end_leaves_nothing_and_the_next_does_it_all(
    north, monkeypatch
):
    row = send(north, GOOD).json()

    def die():
        raise ConnectionError

    with monkeypatch.context() as broken:
        broken.setattr(writing, "check_references", die)
        with pytest.raises(ConnectionError):
            bring_in_file(job_id=row["job"])
    assert machines(north) == set()
    assert look(north, row["id"])["status"] is None

    Job.objects.filter(pk=row["job"]).update(due_at=timezone.now())
    bring_in_file(job_id=row["job"])

    assert len(machines(north)) == 6
    assert look(north, row["id"])["status"] == 200


def test_readings_come_in_the_same_way_and_are_told_as_they_go(north, monkeypatch):
    told = []
    monkeypatch.setattr(
        Headway, "tell", lambda self, done, parts: told.append((done, parts))
    )
    row = send(north, READINGS, name="readings").json()

    bring_in_file(job_id=row["job"])

    done = look(north, row["id"])
    assert done["status"] == 200, done
    assert done["answer"]["counts"] == {"stored": 2}
    assert done["answer"]["cautions"]
    assert told[-1] == (2, 2)
    callers.confine(north)
    assert Reading.objects.count() == 2


def test_a_file_that_leads_beyond_the_quota_leaves_nothing(north):
    Contractor.objects.filter(pk=north.contractor.pk).update(most_machines=4)
    row = send(north, GOOD).json()

    bring_in_file(job_id=row["job"])

    done = look(north, row["id"])
    assert (done["status"], done["answer"]["code"]) == (422, "quota-reached")
    assert machines(north) == set()


def test_the_log_of_changes_names_who_sent_it(north):
    row = send(north, GOOD).json()
    bring_in_file(job_id=row["job"])

    callers.confine(north)
    lines = Change.objects.filter(table="fleet_machine", act="CREATED")
    lines = lines.filter(via="POST /api/v1/imports/machines")
    assert lines.count() == 6
    office = north.memberships["OFFICE"]
    assert {line.membership_id for line in lines} == {office.pk}


def test_whoever_left_meanwhile_brings_nothing_in(north):
    row = send(north, GOOD).json()
    office = Membership.objects.filter(pk=north.memberships["OFFICE"].pk)
    office.update(role="TECHNICIAN")

    bring_in_file(job_id=row["job"])

    office.update(role="OFFICE")
    done = look(north, row["id"])
    assert (done["status"], done["answer"]["code"]) == (422, "sender-left")
    assert machines(north) == set()


def test_the_same_file_waits_once_and_only_so_many_wait(north):
    first, again = send(north, GOOD).json(), send(north, GOOD).json()
    assert first["id"] == again["id"]
    for n in range(import_jobs.MOST_WAITING - 1):
        assert send(north, GOOD + "\n" * (n + 1)).status_code == 202

    refused = send(north, GOOD + "\n" * 9)

    assert callers.is_problem(refused, 409, "too-many-imports")
    assert send(north, GOOD).json()["id"] == first["id"]


def test_another_contractor_sees_and_gets_nothing_of_it(north, south):
    row = send(north, GOOD).json()

    foreign = callers.call(south, "GET", f"/api/v1/imports/{row['id']}")
    absent = callers.call(south, "GET", f"/api/v1/imports/{10**9}")

    assert (foreign.status_code, foreign.content) == (404, absent.content)
    bring_in_file(job_id=row["job"])
    assert machines(south) == set()


def test_answers_are_forgotten_after_a_while_and_what_waits_is_not(north):
    done, waits = send(north, GOOD).json(), send(north, BAD).json()
    bring_in_file(job_id=done["job"])
    later = timezone.now() + timedelta(days=1)

    assert import_jobs.prune(before=later) == 1

    callers.confine(north)
    assert list(ImportFile.objects.values_list("pk", flat=True)) == [waits["id"]]
