"""Log lines: of which request, in which form, and what never stands in them."""

import io
import json
import logging

import pytest
from django.http import HttpResponse
from django.test import Client

from fleet.models import Change, Owner
from fleet.platform import redaction
from fleet.platform.watching import logs
from tests import callers

KEY = "rseat_" + "0123456789ab_" + "c2VjcmV0LXNlY3JldC1zZWNyZXQ"


def written(formatter, *, message="words", arguments=(), error=None, **extra):
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(formatter)
    record = logging.LogRecord(
        "some.where", logging.WARNING, __file__, 1, message, arguments, error
    )
    vars(record).update(extra)
    handler.handle(record)
    return stream.getvalue()


def failure():
    try:
        raise ValueError(f"first\nsecond {KEY}")
    except ValueError as error:
        return (type(error), error, error.__traceback__)


def test_json_lines_are_one_object_on_one_line_each():
    text = written(
        logs.JsonLines(), message='a "word" ⌀\nand %s', arguments=(3,), status_code=404
    )

    assert text.count("\n") == 1
    found = json.loads(text)
    assert found["message"] == 'a "word" ⌀\nand 3'
    assert (found["level"], found["logger"]) == ("WARNING", "some.where")
    assert found["status_code"] == 404
    assert found["at"].endswith("+00:00")


@pytest.mark.parametrize("formatter", [logs.Lines(), logs.JsonLines()])
def test_no_form_of_a_line_shows_a_key(formatter):
    # Fault 39.
    text = written(
        formatter,
        message="tried %s at /api/v1/report-links/3.14.Zm9vYmFyYmF6cXV4:9f8e7d6c",
        arguments=(f"Bearer {KEY}",),
        error=failure(),
    )

    assert "c2VjcmV0" not in text
    assert "Zm9vYmFy" not in text
    assert "ValueError" in text
    assert "rseat_0123..." in text


def test_a_broken_record_does_not_break_the_one_who_logs(capsys):
    assert written(logs.JsonLines(), message="%d", arguments=("x",)) == ""


def test_an_address_is_shown_without_its_long_parts():
    assert redaction.shown("/set-password/MTc/c9x4b2-0123456789abcdef0123") == (
        "/set-password/MTc/..."
    )
    assert redaction.shown("/api/v1/machines/17") == "/api/v1/machines/17"


# --- the request's id -----------------------------------------------------------------
def named(rf, view, **headers):
    request = rf.get(
        "/", headers={name.replace("_", "-"): v for name, v in headers.items()}
    )
    return logs.NameRequest(view)(request)


def test_the_answer_and_the_lines_of_a_request_carry_its_id(rf):
    lines = []

    def view(request):
        lines.append(json.loads(written(logs.JsonLines())))
        assert f"[{request.request_id}]" in written(logs.Lines())
        return HttpResponse()

    answer = named(rf, view)

    assert lines[0]["request"] == answer["X-Request-ID"]
    assert len(answer["X-Request-ID"]) == 32
    assert "request" not in json.loads(written(logs.JsonLines()))


def test_a_strangers_id_is_not_taken(rf):
    # Fault 55.
    answer = named(rf, lambda _: HttpResponse(), X_Request_ID="chosen-by-them")

    assert answer["X-Request-ID"] != "chosen-by-them"


@pytest.mark.parametrize(
    ("given", "is_taken"),
    [
        ("0f3b-from-the-proxy", True),
        ("x", False),
        ("a b\tc d e f", False),
        ("é" * 9, False),
    ],
)
def test_the_own_proxys_id_is_taken_if_it_is_sound(rf, settings, given, is_taken):
    settings.BEHIND_PROXY = True

    answer = named(rf, lambda _: HttpResponse(), X_Request_ID=given)

    assert (answer["X-Request-ID"] == given) == is_taken


@pytest.mark.django_db
def test_a_refused_key_is_in_no_line(north, caplog):
    callers.call(None, "GET", "/api/v1/owners", Authorization=f"Bearer {KEY}")
    callers.call(north, "GET", "/api/v1/nowhere")

    assert "c2VjcmV0" not in caplog.text
    assert north.keys["OFFICE"] not in caplog.text


@pytest.mark.django_db
def test_the_audit_names_the_request_that_the_answer_names(north):
    callers.confine(north)
    owner = Owner.objects.get(code="mill")

    answer = callers.call(
        north, "PATCH", f"/api/v1/owners/{owner.pk}", {"name": "X"}, If_Match="*"
    )

    callers.confine(north)
    line = Change.objects.filter(table="fleet_owner").latest("pk")
    assert line.request == answer["X-Request-ID"]


def test_a_page_that_is_not_there_has_an_id_too():
    assert Client().get("/nowhere")["X-Request-ID"]
