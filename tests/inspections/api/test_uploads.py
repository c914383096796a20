"""The one door for readings: the whole call, who may, what it causes."""

import json
from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Job, Membership, Token
from fleet.platform.access import tokens
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, outcomes

pytestmark = pytest.mark.django_db


# --- the whole call; faults 20 to 26 --------------------------------------------------
@pytest.mark.parametrize(
    "body",
    [
        [],
        {},
        {"visits": {}},
        {"visits": [5]},
        {"visits": [{"readings": "none"}]},
        {"visits": [], "colour": 1},
        {"visits": [], "sent_at": "now"},
        {"visits": [], "sent_at": 1e400},
    ],
)
def test_a_body_that_is_no_upload_is_refused_whole(north, body):
    answer = callers.upload(
        north, raw=json.dumps(body).replace("Infinity", "1e400").encode()
    )

    assert callers.is_problem(answer, 400, "not-an-upload")


def test_too_many_readings_and_too_many_visits_are_refused_whole(north, settings):
    settings.UPLOAD_MAX_READINGS = 2

    readings = callers.upload(north, factories.upload(GOOD, GOOD, GOOD))
    visits = callers.upload(north, {"visits": [{"readings": []}] * 3})

    assert callers.is_problem(readings, 413, "too-many-readings")
    assert callers.is_problem(visits, 413, "too-many-readings")


@pytest.mark.parametrize("path", ["/api/v1/uploads", "/api/v1/owners"])
def test_a_body_over_the_limit_is_too_large(north, settings, path):
    settings.UPLOAD_MAX_BYTES = settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    raw = b'{"visits": [' + b" " * 1000 + b"]}"

    answer = callers.call(north, "POST", path, raw=raw)

    assert callers.is_problem(answer, 413, "body-too-large")


def test_ten_thousand_readings_need_no_more_queries_than_ten(north):
    few = [GOOD | {"reference": f"a{n}"} for n in range(10)]
    many = [GOOD | {"reference": f"b{n}"} for n in range(600)]
    callers.upload(north, factories.upload(GOOD | {"reference": "warm"}))

    with CaptureQueriesContext(
        connection,
    ) as ten:
        assert callers.upload(north, factories.upload(*few)).status_code == 207
    with CaptureQueriesContext(connection) as hundreds:
        assert callers.upload(north, factories.upload(*many)).status_code == 207

    assert len(hundreds) == len(ten)


def test_many_visits_need_no_more_queries_than_few(north):
    def visits(mark, count):
        return {
            "visits": [
                factories.upload(
                    GOOD | {"reference": f"{mark}-r{n}"}, reference=f"{mark}-{n}"
                )["visits"][0]
                for n in range(count)
            ]
        }

    callers.upload(north, factories.upload(GOOD))
    with CaptureQueriesContext(connection) as few:
        assert callers.upload(north, visits("a", 2)).json()["counts"] == {"stored": 2}
    with CaptureQueriesContext(connection) as many:
        assert callers.upload(north, visits("b", 60)).json()["counts"] == {"stored": 60}

    assert len(many) == len(few)


# --- who may --------------------------------------------------------------------------
def test_nobody_uploads_without_a_token(north):
    factories.forget_tenant()

    answer = callers.call(None, "POST", "/api/v1/uploads", factories.upload(GOOD))

    assert callers.is_problem(answer, 401, "not-authenticated")
    assert answer["WWW-Authenticate"].startswith("Bearer")


def test_an_owners_reader_and_a_read_only_token_may_not_upload(north):
    technician = Membership.objects.get(contractor=north.contractor, role="TECHNICIAN")
    key = tokens.issue(
        membership=technician,
        device="tablet",
        scopes=["READ"],
        issued_at=datetime.now(tz=UTC),
    )
    north.keys["READ_ONLY"] = key

    reader = callers.upload(north, factories.upload(GOOD), role="OWNER_READER")
    read_only = callers.upload(north, factories.upload(GOOD), role="READ_ONLY")

    assert callers.is_problem(reader, 403, "permission-denied")
    assert callers.is_problem(read_only, 403, "permission-denied")


def test_an_upload_only_token_uploads_and_reads_nothing(north):
    token = Token.objects.get(membership=north.memberships["TECHNICIAN"])
    token.scopes = ["UPLOAD"]
    token.save()

    sent = callers.upload(north, factories.upload(GOOD))
    read = callers.call(north, "GET", "/api/v1/readings", role="TECHNICIAN")

    assert outcomes(sent) == ["stored"]
    assert callers.is_problem(read, 403, "permission-denied")


# --- the job it causes; faults 4 and 5 ------------------------------------------------
def test_an_upload_queues_one_assessment_for_each_machine_it_touched(north):
    body = factories.upload(GOOD, GOOD | {"rope": 2})
    body["visits"] += factories.upload(
        GOOD | {"reference": "q"}, machine="QC-1", reference="v-2"
    )["visits"]
    body["visits"] += factories.upload(
        GOOD | {"reference": "x", "unit": "kg"}, machine="QC-1", reference="v-3"
    )["visits"]

    callers.upload(north, body)

    callers.confine(north)
    assert {job.subject_id for job in Job.objects.all()} == {
        factories.machine(north.scope(), code).pk for code in ("MH-1", "QC-1")
    }


def test_an_upload_that_stored_nothing_new_queues_nothing(north):
    body = factories.upload(GOOD)
    callers.upload(north, body)
    Job.objects.all().delete()

    callers.upload(north, body)

    assert not Job.objects.exists()
