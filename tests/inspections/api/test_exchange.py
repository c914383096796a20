"""Readings and gauges as files through the API."""

import json
import zipfile
from io import BytesIO

import pytest

from inspections.models import Reading
from tests import callers

pytestmark = pytest.mark.django_db

HEADER = "machine,visited_on,kind,rope,value,unit\n"
GOOD = HEADER + "MH-1,2024-05-04,rope_diameter,1,12.8,mm\n"
IMPORT = "/api/v1/imports/readings"


def send(cast, text, path=IMPORT, query="?dry_run=false", **how):
    how = {"content_type": "text/csv", "raw": text.encode()} | how
    return callers.call(cast, "POST", path + query, **how)


def take(cast, path, **how):
    answer = callers.call(cast, "GET", f"/api/v1/exports/{path}", **how)
    assert answer.status_code == 200, answer.content
    return b"".join(answer.streaming_content)


def test_a_heap_is_looked_at_first_and_then_stored(north):
    looked, sent = send(north, GOOD, query=""), send(north, GOOD)

    assert (looked.json()["stored"], looked.json()["counts"]) == (False, {"stored": 1})
    assert (sent.json()["stored"], sent.json()["visits"]) == (True, {"stored": 1})
    assert sent.json()["cautions"]
    callers.confine(north)
    assert Reading.objects.get().value == 12.8


def test_faults_are_a_problem_that_names_rows_and_columns(north):
    answer = send(north, GOOD + "MH-1,2024-05-04,rope_diameter,2,12.8,stone\n")

    assert callers.is_problem(answer, 422, "rows-refused")
    assert [e["pointer"] for e in answer.json()["errors"]] == ["/rows/3/unit"]
    callers.confine(north)
    assert not Reading.objects.exists()


def test_the_machines_are_assessed_after_commit(
    north, django_capture_on_commit_callbacks, monkeypatch
):
    rung = []
    monkeypatch.setattr(
        "celery.current_app.send_task", lambda kind, **_: rung.append(kind)
    )

    with django_capture_on_commit_callbacks(execute=True):
        send(north, GOOD, query="?dry_run=true")
    assert rung == []
    with django_capture_on_commit_callbacks(execute=True):
        send(north, GOOD)
    assert rung == ["inspections.tasks.assess"]


@pytest.mark.parametrize("path", [IMPORT, "/api/v1/imports/gauges"])
def test_only_the_office_brings_files_in(north, path):
    for role in ("TECHNICIAN", "OWNER_READER"):
        answer = send(north, GOOD, path=path, role=role)
        assert callers.is_problem(answer, 403, "permission-denied")
    assert callers.is_problem(send(None, GOOD, path=path), 401, "not-authenticated")


def test_gauges_go_in_and_out(north):
    text = "code,name,resolution_mm\ng-1,calliper,0.01\n"

    stored = send(north, text, path="/api/v1/imports/gauges").json()
    out = take(north, "gauges.csv")
    again = send(north, out.decode(), path="/api/v1/imports/gauges").json()

    assert (stored["created"], again["unchanged"]) == (1, 1)


def test_nothing_of_another_contractor_goes_out_or_can_be_reached(north, south):
    send(south, GOOD.replace("12.8", "12.77"))
    send(north, GOOD)

    for without in (False, True):
        if without:
            with callers.without_scope():
                out = take(north, "readings.csv") + take(north, "readings.jsonl")
        else:
            out = take(north, "readings.csv") + take(north, "readings.jsonl")

        assert out.count(b"12.8") >= 2
        assert b"12.77" not in out


def test_an_owners_reader_takes_out_the_own_buildings_readings_only(north):
    send(north, GOOD)
    send(north, GOOD.replace("MH-1", "QC-1"))

    out = take(north, "readings.csv", role="OWNER_READER")

    assert (b"MH-1" in out, b"QC-1" in out) == (True, False)
    assert take(north, "gauges.csv", role="OWNER_READER").count(b"\r\n") == 1


def test_everything_goes_out_in_one_file(north):
    send(north, GOOD)

    archive = zipfile.ZipFile(BytesIO(take(north, "everything.zip")))

    names = archive.namelist()
    assert {"machines.csv", "gauges.csv", "readings.csv"} < set(names)
    assert len(names) == len(set(names))
    assert archive.read("readings.csv") == take(north, "readings.csv")


def test_a_review_goes_out(north):
    send(north, GOOD.replace("12.8", "128"))
    callers.confine(north)
    reading = Reading.objects.get()
    reading.reviews.create(
        contractor=north.contractor, accepted=False, membership_id=1, why="=slip of pen"
    )

    out = take(north, "reading-reviews.csv")
    record = json.loads(take(north, "reading-reviews.jsonl"))

    assert f"{reading.reference},false,'=slip of pen," in out.decode()
    assert record["why"] == "=slip of pen"


@pytest.mark.parametrize("name", ["gauges", "readings"])
def test_a_template_can_be_brought_in_once_its_machine_is_there(north, name):
    answer = callers.call(north, "GET", f"/api/v1/imports/{name}/template")
    archive = zipfile.ZipFile(BytesIO(answer.content))
    example = archive.read(f"{name}.csv").decode().replace("LB-1", "MH-1")

    stored = send(north, example, path=f"/api/v1/imports/{name}").json()

    assert archive.namelist() == [f"{name}.csv", f"{name}-columns.txt"]
    assert stored["stored"] is True, stored
    assert stored["errors"] == []
