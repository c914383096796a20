"""Bodies that end early (fault 12) or have no length; files that cannot be finished."""

import base64
import hashlib
import json
import zipfile
from io import BytesIO

import pytest
from django.core import signals
from django.core.handlers.wsgi import WSGIHandler
from django.core.management import CommandError
from django.db import close_old_connections

from fleet.management import contractor_files
from fleet.models import Owner
from fleet.platform.api import whole
from fleet.register.exchange import exporting
from inspections.models import Reading, Upload, Visit
from tests import callers, factories

pytestmark = pytest.mark.django_db

READING = {
    "reference": "r1",
    "kind": "rope_diameter",
    "rope": 1,
    "place": {"station": "car side", "direction": "1"},
    "value": "11.87",
    "unit": "mm",
}
VISIT = {
    "reference": "v1",
    "machine": "MH-1",
    "visited_at": "2026-05-04T10:00:00+01:00",
    "readings": [READING],
}
AS_JSON = json.dumps({"visits": [VISIT]}).encode()
AS_CSV = (
    b"machine,visit,visited_at,reference,kind,rope,station,direction,unit,value\r\n"
    b"MH-1,v1,2026-05-04T10:00:00+01:00,r1,rope_diameter,1,car side,1,mm,11.87"
)
OWNERS = b"code,name\r\nlarch,Larch Holdings\r\nbirch,Birch Homes"


@pytest.fixture
def application(settings):
    """What a web server calls, except that the test's connection stays open."""
    settings.REQUESTS_PER_MINUTE = 0
    signals.request_started.disconnect(close_old_connections)
    handler = WSGIHandler()
    handler.load_middleware()

    def call(environ):
        factories.forget_tenant()
        said = []
        answer = handler(environ, lambda status, headers: said.append(status))
        return int(said[0].split()[0]), answer

    yield call
    signals.request_started.connect(close_old_connections)


def environ(path, body, *, length, key="", kind="application/json", **more):
    """Return a request as a web server hands it on; the body may be shorter."""
    place, _, query = path.partition("?")
    found = {
        "REQUEST_METHOD": "POST",
        "PATH_INFO": place,
        "QUERY_STRING": query,
        "SERVER_NAME": "testserver",
        "SERVER_PORT": "80",
        "SERVER_PROTOCOL": "HTTP/1.1",
        "REMOTE_ADDR": "127.0.0.1",
        "CONTENT_TYPE": kind,
        "wsgi.url_scheme": "http",
        "wsgi.input": BytesIO(body),
        "wsgi.errors": BytesIO(),
        **more,
    }
    if key:
        found["HTTP_AUTHORIZATION"] = key
    return found if length is None else found | {"CONTENT_LENGTH": str(length)}


def check_cut_at_every_position(application, path, body, stored, **how):
    for position in range(len(body)):
        status, answer = application(
            environ(path, body[:position], length=len(body), **how)
        )
        assert status == 400, position
        assert json.loads(answer.content)["code"] == "body-cut-off", position
        assert stored() == 0, position


@pytest.mark.parametrize(
    ("kind", "body"), [("application/json", AS_JSON), ("text/csv", AS_CSV)]
)
def test_an_upload_cut_anywhere_stores_nothing_and_its_key_is_free(
    north, application, kind, body
):
    def stored():
        callers.confine(north)
        return Upload.objects.count() + Visit.objects.count() + Reading.objects.count()

    how = {
        "kind": kind,
        "key": north.headers("TECHNICIAN")["Authorization"],
        "HTTP_IDEMPOTENCY_KEY": "day-1",
    }
    check_cut_at_every_position(application, "/api/v1/uploads", body, stored, **how)

    status, answer = application(
        environ("/api/v1/uploads", body, length=len(body), **how)
    )

    assert status == 207, answer.content
    assert json.loads(answer.content)["counts"] == {"stored": 1}
    callers.confine(north)
    assert Reading.objects.get().typed_value == "11.87"


def test_an_import_cut_anywhere_brings_in_no_row(north, application):
    def stored():
        callers.confine(north)
        return Owner.objects.filter(code__in=["larch", "birch"]).count()

    path = "/api/v1/imports/owners?dry_run=false"
    how = {"kind": "text/csv", "key": north.headers("OFFICE")["Authorization"]}
    check_cut_at_every_position(application, path, OWNERS, stored, **how)

    status, answer = application(environ(path, OWNERS, length=len(OWNERS), **how))

    assert status == 200, answer.content
    assert stored() == 2


@pytest.mark.parametrize("path", ["/api/v1/uploads", "/log-in"])
def test_a_body_without_a_length_is_asked_for_it(north, application, path):
    status, answer = application(
        environ(
            path,
            AS_JSON,
            length=None,
            key=north.headers("TECHNICIAN")["Authorization"],
            HTTP_TRANSFER_ENCODING="chunked",
        )
    )

    assert status == 411
    assert answer["Content-Type"] == "application/problem+json"
    assert json.loads(answer.content)["code"] == "length-required"
    callers.confine(north)
    assert Upload.objects.count() == 0


def test_a_form_that_is_cut_off_is_refused(db, application):
    body = b"username=north-office&password=correct"

    status, answer = application(
        environ(
            "/log-in",
            body[:-3],
            length=len(body),
            kind="application/x-www-form-urlencoded",
        )
    )

    assert status == 400
    assert json.loads(answer.content)["code"] == "body-cut-off"


def digest_of(body, name="sha-256"):
    made = hashlib.new(name.replace("-", ""), body).digest()
    return f"{name}=:{base64.b64encode(made).decode()}:"


def upload_with(application, north, field, body=AS_JSON):
    status, answer = application(
        environ(
            "/api/v1/uploads",
            body,
            length=len(body),
            key=north.headers("TECHNICIAN")["Authorization"],
            HTTP_CONTENT_DIGEST=field,
        )
    )
    return status, json.loads(answer.content)


@pytest.mark.parametrize(
    "field",
    [
        digest_of(AS_JSON),
        digest_of(AS_JSON, "sha-512"),
        f"{digest_of(AS_JSON)} ,\t{digest_of(AS_JSON, 'sha-512')}",
        # What protects nothing is not looked at, whatever it says.
        f"md5=:AAAA:, {digest_of(AS_JSON)};note=1",
        "unixsum=:AAAA:",
    ],
)
def test_a_body_with_its_own_digest_is_taken(north, application, field):
    status, answer = upload_with(application, north, field)

    assert status == 207
    assert answer["counts"] == {"stored": 1}


@pytest.mark.parametrize("name", ["sha-256", "sha-512"])
def test_a_body_changed_on_the_way_is_refused_whole(north, application, name):
    # As long as it was, and sound JSON: only the digest tells.
    changed = AS_JSON.replace(b"11.87", b"12.87")
    assert len(changed) == len(AS_JSON) != AS_JSON.count(b"12.87")

    status, answer = upload_with(
        application, north, digest_of(AS_JSON, name), body=changed
    )

    assert (status, answer["code"]) == (400, "digest-mismatch")
    callers.confine(north)
    assert Upload.objects.count() == Reading.objects.count() == 0


def test_one_wrong_digest_of_two_is_a_wrong_digest(north, application):
    both = f"{digest_of(AS_JSON)}, {digest_of(OWNERS, 'sha-512')}"

    status, answer = upload_with(application, north, both)

    assert (status, answer["code"]) == (400, "digest-mismatch")


@pytest.mark.parametrize(
    "field",
    ["sha-256", "sha-256=abc", "sha-256=:!:", "sha-256=:A:", ",", "SHA-256=:AAAA:"],
)
def test_a_digest_that_cannot_be_read_is_refused(north, application, field):
    status, answer = upload_with(application, north, field)

    assert (status, answer["code"]) == (400, "digest-unreadable")


def test_a_form_and_a_file_are_compared_with_their_digests_too(north, application):
    form = b"username=north-office&password=wrong"
    kind = "application/x-www-form-urlencoded"
    for path, body, how in (
        ("/log-in", form, {"kind": kind}),
        (
            "/api/v1/imports/owners?dry_run=false",
            OWNERS,
            {"kind": "text/csv", "key": north.headers("OFFICE")["Authorization"]},
        ),
    ):
        status, answer = application(
            environ(
                path,
                body,
                length=len(body),
                HTTP_CONTENT_DIGEST=digest_of(AS_CSV),
                **how,
            )
        )

        assert status == 400, path
        assert json.loads(answer.content)["code"] == "digest-mismatch", path
    callers.confine(north)
    assert not Owner.objects.filter(code="larch").exists()


class Unfinished(Exception):
    """Raised after the first row."""


def fail_after_the_first_row(monkeypatch):
    before = exporting.Register.records, exporting.Register.lines

    def broken(rows):
        def of(self, *, scope):
            yield next(iter(rows(self, scope=scope)))
            raise Unfinished

        return of

    for name, rows in zip(("records", "lines"), before, strict=True):
        monkeypatch.setattr(exporting.Register, name, broken(rows))


@pytest.mark.parametrize(
    "name",
    [
        "owners.csv",
        "owners.jsonl",
        "register.zip",
        "everything.zip",
        "everything.jsonl.zip",
    ],
)
def test_a_file_that_cannot_be_finished_is_an_error_and_no_file(
    north, monkeypatch, name
):
    fail_after_the_first_row(monkeypatch)

    answer = callers.call(north, "GET", f"/api/v1/exports/{name}")

    assert callers.is_problem(answer, 500, "server-error")


def test_a_file_says_how_long_it_is(north):
    answer = callers.call(north, "GET", "/api/v1/exports/machines.csv")

    content = b"".join(answer.streaming_content)
    assert int(answer["Content-Length"]) == len(content) > 100
    assert answer["Content-Type"].startswith("text/csv")
    assert answer["Content-Disposition"] == 'attachment; filename="machines.csv"'
    assert answer["Cache-Control"] == "no-store"


def test_a_large_file_waits_on_disk(north, monkeypatch):
    monkeypatch.setattr(whole, "_KEPT_IN_MEMORY", 10)
    small = callers.call(north, "GET", "/api/v1/exports/everything.zip")
    monkeypatch.undo()
    large = callers.call(north, "GET", "/api/v1/exports/everything.zip")

    packed = b"".join(small.streaming_content)
    assert int(small["Content-Length"]) == len(packed)
    assert len(packed) == int(large["Content-Length"])
    assert zipfile.ZipFile(BytesIO(packed)).testzip() is None


def test_a_file_has_its_name_only_when_it_is_whole(tmp_path):
    path = tmp_path / "all.zip"

    def pieces():
        yield b"begun"
        assert not path.exists()
        raise Unfinished

    with pytest.raises(Unfinished):
        contractor_files.write_new(path, pieces())
    assert list(tmp_path.iterdir()) == []

    contractor_files.write_new(path, [b"who", b"le"])
    assert [each.name for each in tmp_path.iterdir()] == ["all.zip"]
    assert path.read_bytes() == b"whole"
    with pytest.raises(CommandError, match="exists"):
        contractor_files.write_new(path, [b"other"])
    assert path.read_bytes() == b"whole"
    assert [each.name for each in tmp_path.iterdir()] == ["all.zip"]
