"""Files through the API: who may bring them in, who takes what out."""

import zipfile
from io import BytesIO

import pytest

from fleet.models import Job, Machine
from fleet.register.exchange.register import RESOURCES
from tests import callers, factories

pytestmark = pytest.mark.django_db

IMPORT = "/api/v1/imports/machines"
HEADER = "building,code,name,drive_kind,car_mass_kg\n"
GOOD = HEADER + "mill-house,MH-2,New,GEARED,1100\nmill-house,MH-1,Changed,GEARED,1250\n"


@pytest.fixture
def north():
    return factories.cast(code="north")


@pytest.fixture
def south():
    return factories.cast(code="south")


def send(cast, text, path=IMPORT, query="?dry_run=false", **how):
    raw = text if isinstance(text, bytes) else text.encode()
    how = {"content_type": "text/csv"} | how
    return callers.call(cast, "POST", path + query, raw=raw, **how)


def take(cast, path, **how):
    answer = callers.call(cast, "GET", f"/api/v1/exports/{path}", **how)
    assert answer.status_code == 200, answer.content
    return answer, b"".join(answer.streaming_content)


def test_without_a_word_it_is_a_dry_run(north):
    answer = send(north, GOOD, query="")

    assert answer.status_code == 200, answer.content
    assert answer.json() == {
        "resource": "machines",
        "stored": False,
        "rows": 2,
        "created": 1,
        "changed": 1,
        "unchanged": 0,
        "changes": [
            {"row": 2, "name": "MH-2", "what": "created"},
            {
                "row": 3,
                "name": "MH-1",
                "what": "changed",
                "fields": {
                    "car_mass_kg": {"from": "1200", "to": "1250"},
                    "name": {"from": "Mill House, lift 1", "to": "Changed"},
                },
            },
        ],
        "changes_not_shown": 0,
        "errors": [],
    }
    callers.confine(north)
    assert not Machine.objects.filter(code="MH-2").exists()
    assert not Job.objects.exists()


def test_what_is_stored_has_its_machines_assessed_again_and_once_only(north):
    first, again = send(north, GOOD), send(north, GOOD)

    assert first.json()["stored"] is True
    assert (again.json()["unchanged"], again.json()["changes"]) == (2, [])
    callers.confine(north)
    machines = Machine.objects.filter(code__in=["MH-1", "MH-2"])
    assert set(Job.objects.values_list("subject_id", flat=True)) == set(
        machines.values_list("pk", flat=True)
    )


def test_faults_are_a_problem_that_names_rows_and_columns(north):
    text = HEADER + "mill-house,MH-2,New,GEARED,heavy\nnowhere,MH-3,New,GEARED,-1\n"

    looked, sent = send(north, text, query="?dry_run=true"), send(north, text)

    assert looked.status_code == 200
    assert callers.is_problem(sent, 422, "rows-refused")
    assert sent.json()["errors"] == looked.json()["errors"]
    assert [e["pointer"] for e in sent.json()["errors"]] == [
        "/rows/2/car_mass_kg",
        "/rows/3/building",
    ]
    callers.confine(north)
    assert Machine.objects.count() == 2


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_only_the_office_brings_files_in(north, role):
    assert callers.is_problem(send(north, GOOD, role=role), 403, "permission-denied")
    assert callers.is_problem(send(None, GOOD), 401, "not-authenticated")


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("?dry_run=maybe", "parse-error"),
        ("?dry_run=true&dry_run=false", "parse-error"),
        ("?delimeter=comma", "parse-error"),
        ("?encoding=utf-16", "unknown-format"),
        ("?delimiter=,", "unknown-format"),
        ("?delimiter=comma&decimal_mark=comma", "unknown-format"),
    ],
)
def test_a_format_that_is_not_taken_is_refused(north, query, code):
    # Faults 18 and 26.
    assert callers.is_problem(send(north, GOOD, query=query), 400, code)


def test_a_file_in_another_encoding_than_declared_is_refused(north):
    # Fault 26.
    for content in (GOOD.encode("utf-16"), GOOD.encode("utf-8-sig"), b"", b"\xff"):
        assert callers.is_problem(send(north, content), 400, "not-a-table")
    assert callers.is_problem(
        send(north, GOOD, content_type="text/csv; charset=iso-8859-1"),
        400,
        "parse-error",
    )
    assert callers.is_problem(
        send(north, "{}", content_type="application/json"),
        415,
        "unsupported-media-type",
    )


def test_a_file_larger_than_the_service_takes_is_refused(north, settings):
    settings.UPLOAD_MAX_BYTES = settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100

    answer = send(north, GOOD + "x" * 100)

    assert answer.status_code == 413


def test_a_file_cannot_reach_into_another_contractors_register(north, south):
    # Fault 34: the south's building is as absent as one that is not there.
    send(
        south,
        "owner,code,name,time_zone,criteria_set\nmill,south-only,S,UTC,EN_81_20\n",
        path="/api/v1/imports/buildings",
    )
    text = HEADER + "south-only,MH-2,New,GEARED,\n"

    answer = send(north, text)

    assert [e["code"] for e in answer.json()["errors"]] == ["refers-to-nothing"]


def test_bringing_in_changes_own_rows_only_even_without_the_applications_scope(
    north, south
):
    with callers.without_scope():
        assert send(north, GOOD).status_code == 200

    callers.confine(south)
    assert Machine.objects.get(code="MH-1").name == "Mill House, lift 1"


@pytest.mark.parametrize("name", RESOURCES)
def test_every_kind_goes_out_and_comes_in_unchanged(north, name):
    answer, out = take(north, f"{name}.csv")

    again = send(north, out, path=f"/api/v1/imports/{name}")

    assert answer["Content-Type"] == "text/csv; charset=utf-8; header=present"
    assert answer["Content-Disposition"] == f'attachment; filename="{name}.csv"'
    rows = out.count(b"\r\n") - 1
    assert again.json()["unchanged"] == rows
    assert take(north, f"{name}.jsonl")[1].count(b"\n") == rows


@pytest.mark.parametrize("role", ["OFFICE", "TECHNICIAN", "OWNER_READER"])
def test_who_reads_takes_out_what_they_may_see(north, south, role):
    callers.confine(south)
    Machine.objects.update(name="CANARY")
    for without in (False, True):
        if without:
            with callers.without_scope():
                _, out = take(north, "machines.csv", role=role)
        else:
            _, out = take(north, "machines.csv", role=role)

        assert b"CANARY" not in out
        assert b"MH-1" in out
        if not without:
            assert (b"QC-1" in out) == (role != "OWNER_READER")


def test_a_token_for_uploads_only_takes_nothing_out(north):
    from fleet.models import Token

    Token.objects.update(scopes=["UPLOAD"])

    answer = callers.call(north, "GET", "/api/v1/exports/machines.csv")

    assert callers.is_problem(answer, 403, "permission-denied")


def test_the_whole_register_goes_out_in_one_file(north):
    _, packed = take(north, "register.zip")

    archive = zipfile.ZipFile(BytesIO(packed))
    assert archive.namelist() == [f"{name}.csv" for name in RESOURCES]


@pytest.mark.parametrize("name", RESOURCES)
def test_a_template_is_an_example_and_a_guide(north, name):
    answer = callers.call(north, "GET", f"/api/v1/imports/{name}/template")

    archive = zipfile.ZipFile(BytesIO(answer.content))
    assert archive.namelist() == [f"{name}.csv", f"{name}-columns.txt"]
    assert archive.read(f"{name}.csv").count(b"\r\n") == 2


def test_a_file_out_takes_no_parameters_and_any_accept(north):
    path = "/api/v1/exports/owners.csv"

    refused = callers.call(north, "GET", f"{path}?colour=1")
    accepted = callers.call(north, "GET", path, Accept="text/csv")

    assert callers.is_problem(refused, 400, "parse-error")
    assert accepted.status_code == 200
