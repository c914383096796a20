"""Files made by a worker: whole or absent, fetched in parts, gone with their person."""

import base64
import hashlib
import json
import zipfile
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from uuid import UUID

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from fleet.models import Change, ExportFile, Job, Membership, Owner, Person
from fleet.platform.queue import jobs
from fleet.register import people
from fleet.register.exchange import everything, export_jobs, exporting
from fleet.register.tasks import remove_export, write_export
from tests import browsers, callers, factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def stored(tmp_path):
    """Return the names of all files that are there, begun ones too."""
    return sorted(each.name for each in tmp_path.rglob("*") if each.is_file())


def ask(cast, name="machines.csv", role="OFFICE"):
    answer = callers.call(cast, "POST", "/api/v1/exports", {"name": name}, role=role)
    assert answer.status_code == 202, answer.content
    return answer.json()


def made(cast, name="machines.csv", role="OFFICE"):
    """Ask for a file, have it made, and return it as it stands then."""
    asked = ask(cast, name, role)
    write_export(job_id=asked["job"])
    return look(cast, asked["id"], role)


def look(cast, pk, role="OFFICE"):
    answer = callers.call(cast, "GET", f"/api/v1/exports/{pk}", role=role)
    assert answer.status_code == 200, answer.content
    return answer.json()


def fetch(cast, pk, role="OFFICE", **headers):
    answer = callers.call(
        cast, "GET", f"/api/v1/exports/{pk}/file", role=role, **headers
    )
    if answer.streaming:
        answer.whole = b"".join(answer.streaming_content)
    return answer


def test_what_is_asked_for_waits_is_made_and_is_fetched(north, tmp_path):
    asked = callers.call(north, "POST", "/api/v1/exports", {"name": "machines.csv"})

    body = asked.json()
    assert asked["Location"] == f"/api/v1/exports/{body['id']}"
    assert body["finished_at"] is None
    early = fetch(north, body["id"])
    assert callers.is_problem(early, 409, "export-not-ready")
    assert stored(tmp_path) == []

    write_export(job_id=body["job"])

    done = look(north, body["id"])
    job = callers.call(north, "GET", f"/api/v1/jobs/{body['job']}").json()
    assert job["state"] == "DONE"
    file = fetch(north, body["id"])
    assert file.status_code == 200
    assert len(file.whole) == done["size_bytes"] == int(file["Content-Length"])
    digest = hashlib.sha256(file.whole)
    assert done["sha256"] == digest.hexdigest()
    written = base64.b64encode(digest.digest()).decode()
    assert file["Repr-Digest"] == f"sha-256=:{written}:"
    direct = callers.call(north, "GET", "/api/v1/exports/machines.csv")
    assert file.whole == b"".join(direct.streaming_content)


@pytest.mark.parametrize("role", ["OFFICE", "TECHNICIAN", "OWNER_READER"])
def test_each_role_gets_of_everything_what_it_gets_directly(north, role):
    done = made(north, "everything.jsonl.zip", role)

    mine = zipfile.ZipFile(BytesIO(fetch(north, done["id"], role).whole))
    answer = callers.call(
        north, "GET", "/api/v1/exports/everything.jsonl.zip", role=role
    )
    direct = zipfile.ZipFile(BytesIO(b"".join(answer.streaming_content)))
    assert mine.testzip() is None
    assert mine.namelist() == direct.namelist()
    # What the asking itself has changed.
    changing = {"tokens.jsonl", "export-files.jsonl", "changes.jsonl"}
    for name in set(mine.namelist()) - changing:
        assert mine.read(name) == direct.read(name), name


def test_a_file_is_put_together_from_the_parts_that_came(north):
    done = made(north)
    whole, pk = fetch(north, done["id"]).whole, done["id"]
    etag = fetch(north, pk)["ETag"]

    first = fetch(north, pk, Range="bytes=0-99")
    rest = fetch(north, pk, Range="bytes=100-", If_Range=etag)
    last = fetch(north, pk, Range="bytes=-7")

    assert (first.status_code, rest.status_code, last.status_code) == (206,) * 3
    assert first.whole + rest.whole == whole
    assert last.whole == whole[-7:]
    assert first["Content-Range"] == f"bytes 0-99/{len(whole)}"
    assert int(rest["Content-Length"]) == len(whole) - 100
    assert first["Accept-Ranges"] == "bytes"


def test_parts_of_two_files_are_never_put_together(north):
    first, second = made(north), made(north, "owners.csv")

    answer = fetch(
        north,
        second["id"],
        Range="bytes=100-",
        If_Range=fetch(north, first["id"])["ETag"],
    )

    assert answer.status_code == 200
    assert len(answer.whole) == second["size_bytes"]


@pytest.mark.parametrize(
    "asked", ["bytes=5-2", "bytes=0-1,3-4", "lines=0-1", "bytes=-", "bytes=x-"]
)
def test_a_range_that_cannot_be_read_gets_the_whole_file(north, asked):
    done = made(north)

    answer = fetch(north, done["id"], Range=asked)

    assert (answer.status_code, len(answer.whole)) == (200, done["size_bytes"])


def test_a_part_that_the_file_does_not_have_is_said(north):
    done = made(north)

    answer = fetch(north, done["id"], Range=f"bytes={done['size_bytes']}-")

    assert callers.is_problem(answer, 416, "range-not-satisfiable")
    assert answer["Content-Range"] == f"bytes */{done['size_bytes']}"


class Broken(Exception):
    """Raised in the middle of a file."""


def test_a_file_that_breaks_off_has_no_name_and_is_tried_again(
    north, tmp_path, monkeypatch
):
    asked = ask(north, "everything.zip")
    pieces = everything.pieces

    def broken(**how):
        yield next(iter(pieces(**how)))
        raise Broken

    monkeypatch.setattr(everything, "pieces", broken)
    with pytest.raises(Broken):
        write_export(job_id=asked["job"])

    assert stored(tmp_path) == []
    assert look(north, asked["id"])["size_bytes"] is None
    job = Job.objects.get(pk=asked["job"])
    assert (job.state, job.problem) == ("QUEUED", "Broken")
    monkeypatch.undo()
    Job.objects.filter(pk=job.pk).update(due_at=timezone.now())
    write_export(job_id=job.pk)
    assert fetch(north, asked["id"]).status_code == 200


def test_a_worker_that_was_taken_over_leaves_no_second_file(
    north, tmp_path, monkeypatch, django_capture_on_commit_callbacks
):
    asked = ask(north)
    write = export_jobs.write_file

    def slow(job):
        found = write(job)
        # Another worker has had it meanwhile, and was quicker.
        Job.objects.filter(pk=job.pk).update(attempts=9)
        return found

    with django_capture_on_commit_callbacks(execute=True):
        jobs.perform_in_two(
            job_id=asked["job"],
            make=slow,
            store=export_jobs.keep_file,
            clock=timezone.now,
        )

    callers.confine(north)
    assert ExportFile.objects.get(pk=asked["id"]).stored_as == ""


def test_who_asks_again_while_it_is_made_gets_the_same_and_not_too_many(north):
    first = ask(north)

    assert ask(north)["id"] == first["id"]
    for name in ("owners.csv", "ropes.csv", "works.csv", "grooves.csv"):
        ask(north, name)
    answer = callers.call(north, "POST", "/api/v1/exports", {"name": "sheaves.csv"})
    assert callers.is_problem(answer, 409, "too-many-exports")
    assert ask(north, "sheaves.csv", "TECHNICIAN")


def test_what_a_role_does_not_see_is_not_made_for_it(north):
    for role in ("TECHNICIAN", "OWNER_READER"):
        for name in ("changes.jsonl", "terms.csv"):
            answer = callers.call(
                north, "POST", "/api/v1/exports", {"name": name}, role=role
            )
            assert callers.is_problem(answer, 403, "permission-denied"), name
    answer = callers.call(north, "POST", "/api/v1/exports", {"name": "../settings.csv"})
    assert callers.is_problem(answer, 400, "invalid")


def test_a_file_is_its_readers_and_the_office_sees_who_took_it(north, south):
    done = made(north, role="TECHNICIAN")
    missing = fetch(north, 10**9)

    for cast, role in ((north, "OWNER_READER"), (south, "OFFICE")):
        answer = fetch(cast, done["id"], role)
        assert (answer.status_code, answer.content) == (404, missing.content)
    assert fetch(north, done["id"], "TECHNICIAN").status_code == 200
    [row] = callers.call(north, "GET", "/api/v1/exports").json()["results"]
    assert row["membership_id"] == north.memberships["TECHNICIAN"].pk
    assert row["fetched_at"] is not None
    callers.confine(north)
    assert Change.objects.filter(table="fleet_exportfile", act="CREATED").exists()


def test_whoever_has_another_role_since_does_not_fetch_what_the_old_one_saw(north):
    done = made(north, "everything.zip")
    Membership.objects.filter(pk=north.memberships["OFFICE"].pk).update(
        role="TECHNICIAN"
    )

    assert callers.is_problem(fetch(north, done["id"]), 404, "not-found")


def let_go(cast, role):
    other = Membership.objects.create(
        person=Person.objects.create(username="stays"),
        contractor=cast.contractor,
        role="OFFICE",
    )
    scope = factories.Scope(
        contractor_id=cast.contractor.pk, membership_id=other.pk, role="OFFICE"
    )
    callers.confine(cast)
    people.deactivate(scope=scope, membership=cast.memberships[role], at=timezone.now())


def test_files_end_with_their_person(
    north, tmp_path, django_capture_on_commit_callbacks
):
    done = made(north, role="TECHNICIAN")
    assert len(stored(tmp_path)) == 1

    with django_capture_on_commit_callbacks(execute=True):
        let_go(north, "TECHNICIAN")

    assert stored(tmp_path) == []
    assert look(north, done["id"])["removed_at"] is not None
    assert callers.is_problem(fetch(north, done["id"]), 404, "not-found")


@pytest.mark.parametrize("gone", ["person", "owner"])
def test_nothing_is_made_for_someone_who_is_gone(north, tmp_path, gone):
    asked = ask(north, "everything.zip", "OWNER_READER")
    if gone == "person":
        let_go(north, "OWNER_READER")
    else:
        callers.confine(north)
        Owner.objects.filter(code="mill").update(retired_on="2026-01-01")

    write_export(job_id=asked["job"])

    assert stored(tmp_path) == []
    assert look(north, asked["id"])["size_bytes"] is None


def test_a_file_ends_by_itself(
    north, tmp_path, settings, django_capture_on_commit_callbacks
):
    done = made(north)
    job = Job.objects.get(kind=export_jobs.REMOVE_EXPORT)
    assert job.due_at - timezone.now() > timedelta(days=settings.EXPORT_KEEP_DAYS - 1)
    callers.confine(north)
    past = timezone.now() - timedelta(minutes=1)
    ExportFile.objects.filter(pk=done["id"]).update(expires_at=past)
    Job.objects.filter(pk=job.pk).update(due_at=past)

    assert callers.is_problem(fetch(north, done["id"]), 404, "not-found")
    with django_capture_on_commit_callbacks(execute=True):
        remove_export(job_id=job.pk)

    assert stored(tmp_path) == []
    assert look(north, done["id"])["removed_at"] is not None


def test_whoever_asked_removes_it(north, tmp_path, django_capture_on_commit_callbacks):
    done = made(north, role="TECHNICIAN")
    path = f"/api/v1/exports/{done['id']}/remove"

    assert callers.call(north, "POST", path, role="OWNER_READER").status_code == 404
    with django_capture_on_commit_callbacks(execute=True):
        answer = callers.call(north, "POST", path, role="TECHNICIAN")

    assert answer.json()["removed_at"] is not None
    assert stored(tmp_path) == []


def test_a_session_confirms_who_it_is_before_it_takes_files_out(north):
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    done = made(north)
    session = browser.session
    session["password_at"] = timezone.now().timestamp() - 86_400
    session.save()

    for answer in (
        browsers.post(browser, "/api/v1/exports", {"name": "owners.csv"}),
        browsers.get(browser, f"/api/v1/exports/{done['id']}/file"),
    ):
        assert callers.is_problem(answer, 403, "confirm-again")
    assert browsers.get(browser, "/api/v1/exports").status_code == 200


def test_who_took_out_what_stands_in_the_log(north, caplog):
    caplog.set_level("INFO", logger="ropeseat.security")
    done = made(north, role="TECHNICIAN")
    fetch(north, done["id"], "TECHNICIAN")

    [asked] = [m for m in caplog.messages if m.startswith("export-asked")]
    assert asked == f"export-asked export={done['id']} name=machines.csv"
    [taken] = [m for m in caplog.messages if m.startswith("taken-out")]
    assert f"path=/api/v1/exports/{done['id']}/file" in taken


def test_what_a_killed_worker_left_is_pruned_and_nothing_else(north, tmp_path):
    made(north)
    folder = tmp_path / export_jobs.FOLDER / str(north.contractor.pk)
    [whole] = stored(tmp_path)
    (folder / ".part-abc").write_bytes(b"begun")
    soon = timezone.now() + timedelta(minutes=1)

    assert export_jobs.prune(before=timezone.now() - timedelta(days=7)) == 0
    assert export_jobs.prune(before=soon) == 1
    assert stored(tmp_path) == [whole]


def test_a_missing_file_is_said(north):
    done = made(north)
    callers.confine(north)
    default_storage.delete(ExportFile.objects.get(pk=done["id"]).stored_as)

    assert callers.is_problem(fetch(north, done["id"]), 404, "not-found")


def test_what_takes_too_long_to_wait_for_is_to_be_asked_for(north, settings):
    settings.EXPORT_DIRECT_S = -1

    answer = callers.call(north, "GET", "/api/v1/exports/everything.zip")

    assert callers.is_problem(answer, 409, "export-takes-long")
    settings.EXPORT_DIRECT_S = 20
    assert callers.call(north, "GET", "/api/v1/exports/owners.csv").status_code == 200


def test_how_far_it_is_counts_up_to_the_whole(north):
    heard = []

    for _ in everything.pieces(
        name="everything.zip",
        scope=north.scope(),
        at=timezone.now(),
        tell=lambda done, parts: heard.append((done, parts)),
    ):
        pass

    whole = len(everything.outgoing())
    assert heard == [(done, whole) for done in range(whole + 1)]


def test_every_kind_of_value_has_a_form_in_json_lines():
    odd = {
        "amount": Decimal("1234.50"),
        "moment": timezone.now().time(),
        "span": timedelta(hours=1, seconds=2),
        "id": UUID(int=7),
        "bytes": b"\x00\xff",
        "view": memoryview(b"ab"),
    }

    found = json.loads(json.dumps(odd, default=exporting._plain))

    assert found["amount"] == "1234.50"
    assert found["span"] == "P0DT01H00M02S"
    assert found["id"] == str(UUID(int=7))
    assert base64.b64decode(found["bytes"]) == b"\x00\xff"
    assert base64.b64decode(found["view"]) == b"ab"
    assert found["moment"] == odd["moment"].isoformat()
    with pytest.raises(TypeError):
        json.dumps({"odd": object()}, default=exporting._plain)
