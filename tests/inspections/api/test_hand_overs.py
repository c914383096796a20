"""A machine handed over through the API, from one contractor of a service to another.

Fault 75.
"""

import pytest

from fleet.models import Building, Machine
from fleet.platform.access import sessions
from inspections.models import Reading, Stop
from tests import browsers, callers, factories
from tests.inspections.test_hand_over import (
    SLIP,
    THIN,
    media,  # noqa: F401
    open_stops,
    told,
)

pytestmark = pytest.mark.django_db

OFFER = {
    "house": "South Lifts",
    "word_by": "Mill Trust",
    "word_on": "2026-05-01",
    "words": "letter 12",
}
ZIP = {"content_type": "application/zip"}


def at(cast, model):
    callers.confine(cast)
    return model.objects.order_by("pk").first().pk


def offer(cast, body=OFFER, **how):
    path = f"/api/v1/machines/{at(cast, Machine)}/hand-over"
    return callers.call(cast, "POST", path, body, **how)


def file_of(cast, pk):
    answer = callers.call(cast, "GET", f"/api/v1/hand-overs/{pk}/file")
    assert answer.status_code == 200, answer.content
    return b"".join(answer.streaming_content)


def take(cast, raw, query="&code=FROM-N", **headers):
    path = f"/api/v1/hand-overs/take?building={at(cast, Building)}{query}"
    return callers.call(cast, "POST", path, raw=raw, **ZIP, **headers)


def close(cast, pk, receipt):
    body = {"receipt": receipt}
    return callers.call(cast, "POST", f"/api/v1/hand-overs/{pk}/close", body)


def test_a_machine_goes_from_one_contractor_to_another(north, south):
    callers.upload(north, factories.upload(THIN, SLIP))
    was, stops = told(north, "MH-1"), open_stops(north, "MH-1")

    offered = offer(north)
    pk = offered.json()["id"]
    content = file_of(north, pk)
    taken = take(south, content)
    again = take(south, content)
    closed = close(north, pk, taken.json()["hand_over"]["receipt"])

    assert (offered.status_code, offered.json()["state"]) == (201, "OFFERED")
    assert (taken.status_code, again.status_code) == (201, 200)
    body = taken.json()
    assert (body["counts"]["readings"], body["open_stops"]) == (2, len(stops))
    assert body["cautions"]
    assert body["hand_over"]["words"] == "letter 12"
    assert again.json()["repeated"] is True
    assert (closed.status_code, closed.json()["state"]) == (200, "DONE")
    assert told(south, "FROM-N") == was
    assert open_stops(south, "FROM-N") == stops
    assert open_stops(north, "MH-1") == []
    callers.confine(south)
    assert Machine.objects.filter(code="FROM-N", retired_on=None).exists()


def test_a_body_that_is_cut_off_or_none_is_refused_and_nothing_stored(north, south):
    callers.upload(north, factories.upload(THIN))
    content = file_of(north, offer(north).json()["id"])

    for raw in (content[:-1], content[: len(content) // 2], b"", b"no zip at all"):
        assert callers.is_problem(take(south, raw), 422, "not-a-hand-over")

    callers.confine(south)
    assert not Machine.objects.filter(code="FROM-N").exists()
    assert Reading.objects.count() == Stop.objects.count() == 0


def test_what_was_read_since_is_said_at_the_close(north, south):
    pk = offer(north).json()["id"]
    receipt = take(south, file_of(north, pk)).json()["hand_over"]["receipt"]
    callers.upload(north, factories.upload(THIN))
    file_of(north, pk)

    assert callers.is_problem(close(north, pk, receipt), 409, "changed-since")
    assert close(north, pk, "").status_code == 400


def test_whose_word_it_was_must_be_said(north):
    for name in OFFER:
        lacking = {key: value for key, value in OFFER.items() if key != name}
        assert offer(north, lacking).status_code == 400


@pytest.mark.parametrize("query", ["&code=a&code=b", "&other=1", f"&code={'x' * 51}"])
def test_odd_parameters_are_refused(south, query):
    assert take(south, b"", query).status_code == 400


def test_someone_whose_session_is_old_confirms_before_a_machine_goes_out(north):
    pk = offer(north).json()["id"]
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    session = browser.session
    session[sessions.PASSWORD] = 0
    session.save()

    assert browsers.get(browser, f"/api/v1/hand-overs/{pk}/file").status_code == 403
