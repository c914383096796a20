"""Every error is a problem body (RFC 9457), whoever makes it."""

import json

import pytest
from django.db import OperationalError, connection
from django.test import Client

from fleet.models import Owner
from fleet.platform.api import errors
from tests import callers, factories

pytestmark = pytest.mark.django_db


def broken(monkeypatch, error):
    def fail(self):
        raise error

    monkeypatch.setattr(
        "fleet.register.api.views.OwnerViewSet.get_queryset", fail, raising=False
    )


# --- addresses, methods, forms --------------------------------------------------------
@pytest.mark.parametrize(
    "path", ["/api/v1/nothing", "/nothing", "/api/v1/owners/", "/api/v2/owners"]
)
def test_an_address_that_leads_nowhere_is_a_problem_body(north, path):
    assert callers.is_problem(callers.call(north, "GET", path), 404, "not-found")


def test_a_method_that_is_not_taken_is_a_problem_body(north):
    answer = callers.call(north, "DELETE", "/api/v1/owners")

    assert callers.is_problem(answer, 405, "method-not-allowed")
    assert "GET" in answer["Allow"]


def test_a_form_of_answer_that_is_not_given_is_a_problem_body(north):
    answer = callers.call(north, "GET", "/api/v1/owners", Accept="text/xml")

    assert callers.is_problem(answer, 406, "not-acceptable")


@pytest.mark.parametrize(
    "content_type",
    [
        "text/plain",
        "text/html",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "",
    ],
)
@pytest.mark.parametrize("path", ["owners", "uploads"])
def test_a_content_type_that_is_not_taken_is_a_problem_body(north, path, content_type):
    answer = callers.call(
        north, "POST", f"/api/v1/{path}", raw=b"{}", content_type=content_type
    )

    assert callers.is_problem(answer, 415, "unsupported-media-type")


# --- bodies; faults 20 to 26 ----------------------------------------------------------
DEEP = b"[" * 5000 + b"]" * 5000
BODIES = {
    "nothing": b"",
    "half an object": b'{"name": ',
    "two objects": b"{} {}",
    "deep lists": DEEP,
    "very deep lists": b"[" * 500_000,
    "deep objects": b'{"a":' * 50 + b"1" + b"}" * 50,
    "NUL in a text": b'{"name": "a\\u0000b"}',
    "NUL in a key": b'{"a\\u0000b": 1}',
    "NUL deep down": b'{"sources": {"name": ["a\\u0000"]}}',
    "half a surrogate": b'{"name": "\\ud800"}',
    "a surrogate the wrong way round": b'{"name": "\\udc00\\ud800"}',
    "a key twice": b'{"name": "a", "name": "b"}',
    "a key twice, written otherwise": b'{"name": "a", "n\\u0061me": "b"}',
    "NaN": b'{"visits": NaN}',
    "a number of 5,000 digits": b'{"visits": ' + b"9" * 5000 + b"}",
    "a byte order mark": b"\xef\xbb\xbf{}",
    "UTF-16": '{"visits": []}'.encode("utf-16"),
    "Latin-1": '{"name": "é"}'.encode("latin-1"),
    "a raw line break in a text": b'{"name": "a\nb"}',
    "a comment": b'{} // "name"',
    "single quotes": b"{'name': 'x'}",
}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
@pytest.mark.parametrize("path", ["owners", "uploads"])
def test_a_body_that_cannot_be_read_is_a_problem_body(north, path, body):
    answer = callers.call(north, "POST", f"/api/v1/{path}", raw=body)

    assert answer.status_code == 400, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["code"] in ("parse-error", "invalid")


@pytest.mark.parametrize("encoding", ["gzip", "br", "deflate", "GZIP", "x"])
@pytest.mark.parametrize("path", ["owners", "uploads"])
def test_a_packed_body_is_not_unpacked(north, path, encoding):
    # Fault 25.
    answer = callers.call(
        north, "POST", f"/api/v1/{path}", raw=b"{}", Content_Encoding=encoding
    )

    assert callers.is_problem(answer, 415, "unsupported-media-type")


def test_a_pair_of_surrogates_is_a_character(north):
    body = b'{"name": "\\ud83d\\ude00", "code": "smile"}'

    answer = callers.call(north, "POST", "/api/v1/owners", raw=body)

    assert answer.status_code == 201
    assert answer.json()["name"] == "\N{GRINNING FACE}"


# --- pointers -------------------------------------------------------------------------
def test_an_error_points_to_its_field_as_a_json_pointer(north):
    answer = callers.call(north, "POST", "/api/v1/owners", {"a/b~c": 1})

    assert [e["pointer"] for e in answer.json()["errors"]] == ["/a~1b~0c"]


def test_a_missing_field_is_named(north):
    answer = callers.call(north, "POST", "/api/v1/owners", {"name": "X"})

    assert answer.json()["errors"] == [
        {"pointer": "/code", "code": "required", "detail": "This field is required."}
    ]


# --- failures -------------------------------------------------------------------------
def test_a_failure_is_a_problem_body_that_gives_nothing_away(
    north, monkeypatch, caplog
):
    broken(monkeypatch, RuntimeError("secret: hunter2"))

    answer = callers.call(north, "GET", "/api/v1/owners")

    assert callers.is_problem(answer, 500, "server-error")
    assert b"hunter2" not in answer.content
    assert "hunter2" in caplog.text


def test_an_outage_is_told_apart_from_a_failure(north, monkeypatch):
    broken(monkeypatch, OperationalError("gone"))

    answer = callers.call(north, "GET", "/api/v1/owners")

    assert callers.is_problem(answer, 503, "database-away")
    assert answer["Retry-After"] == "5"


def test_every_status_the_api_answers_has_a_title():
    for status in (
        400,
        401,
        403,
        404,
        405,
        406,
        409,
        412,
        413,
        415,
        422,
        428,
        429,
        500,
        503,
    ):
        title = errors.problem(status_code=status, code="x", detail="x")["title"]
        assert title != "The request failed"


def test_a_host_that_is_not_ours_is_a_problem_body():
    # Fault 55: the answer to a forged host names no host.
    answer = Client(raise_request_exception=False).get(
        "/api/v1/owners", headers={"Host": "evil.example"}
    )

    assert callers.is_problem(answer, 400, "bad-request")
    assert b"evil" not in answer.content


def test_a_forwarded_host_is_not_believed(north):
    answer = callers.call(
        north, "GET", "/api/v1/owners?page_size=1", X_Forwarded_Host="evil.example"
    )

    assert answer.json()["next"].startswith("http://testserver/")


# --- the database away; fault 6 -------------------------------------------------------
@pytest.mark.django_db(transaction=True)
def test_a_connection_killed_mid_request_is_answered_503_and_the_next_one_works(
    monkeypatch,
):
    cast = factories.cast()
    kept = Owner.objects.all().__class__.within

    def kill_first(self, scope):
        monkeypatch.setattr("fleet.models.TenantQuerySet.within", kept)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")

    monkeypatch.setattr("fleet.models.TenantQuerySet.within", kill_first)
    client = Client(raise_request_exception=False)
    killed = client.get("/api/v1/owners", headers=cast.headers())
    after = [client.get("/api/v1/owners", headers=cast.headers()) for _ in range(8)]

    assert callers.is_problem(killed, 503, "database-away")
    assert killed["Retry-After"] == "5"
    assert [answer.status_code for answer in after] == [200] * 8


@pytest.mark.django_db(transaction=True)
def test_an_upload_whose_connection_is_killed_stores_nothing_and_can_be_sent_again(
    monkeypatch,
):
    from inspections.intake import take

    cast, body = factories.cast(), factories.upload({"value": "11.8", "unit": "mm"})
    kept = take.store.insert

    def kill(**_):
        monkeypatch.setattr(take.store, "insert", kept)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")

    monkeypatch.setattr(take.store, "insert", kill)
    send = {
        "content_type": "application/json",
        "headers": cast.headers("TECHNICIAN") | {"Idempotency-Key": "k-1"},
    }
    client = Client(raise_request_exception=False)
    killed = client.post("/api/v1/uploads", json.dumps(body), **send)
    again = client.post("/api/v1/uploads", json.dumps(body), **send)

    assert callers.is_problem(killed, 503, "database-away")
    assert again.status_code == 207
    assert again.json()["counts"] == {"stored": 1}
