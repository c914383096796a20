"""The log of changes over the API: the office's own, in order, and nobody else's."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Owner
from tests import callers

pytestmark = pytest.mark.django_db


def read(cast, query="", **how):
    return callers.call(cast, "GET", f"/api/v1/audit{query}", **how)


def rename(cast, name):
    callers.confine(cast)
    owner = Owner.objects.get(code="mill")
    callers.call(
        cast, "PATCH", f"/api/v1/owners/{owner.pk}", {"name": name}, If_Match="*"
    )
    return owner


def test_the_office_reads_who_changed_what_with_which_device(north):
    owner = rename(north, "Old Mill")

    answer = read(north, f"?table=fleet_owner&row_id={owner.pk}&act=CHANGED")

    [line] = answer.json()["results"]
    assert line["fields"] == {"name": ["Mill Estate", "Old Mill"]}
    assert (line["by"], line["device"]) == ("north-office", "test")
    assert line["via"] == f"PATCH /api/v1/owners/{owner.pk}"


def test_the_latest_come_first_if_asked_for_page_by_page(north):
    for name in ("One", "Two", "Three"):
        rename(north, name)
    query = "?table=fleet_owner&act=CHANGED&ordering=-created_at&page_size=2"

    first = read(north, query).json()
    rest = callers.call(north, "GET", first["next"].removeprefix("http://testserver"))

    names = [
        line["fields"]["name"][1] for line in first["results"] + rest.json()["results"]
    ]
    assert names == ["Three", "Two", "One"]


def test_what_someone_did_is_found(north):
    rename(north, "Old Mill")
    office = north.memberships["OFFICE"].pk

    found = read(north, f"?membership_id={office}").json()["results"]

    assert [line["table"] for line in found] == ["fleet_owner"]


@pytest.mark.parametrize(
    "query",
    ["?act=NONE", "?row_id=x", "?created_at__gte=yesterday", "?by=north-office"],
)
def test_an_odd_filter_is_refused(north, query):
    assert callers.is_problem(
        read(north, query), 400, read(north, query).json()["code"]
    )


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_nobody_else_reads_it(north, role):
    assert callers.is_problem(read(north, role=role), 403, "permission-denied")
    assert callers.is_problem(read(north, "/1", role=role), 403, "permission-denied")


def test_strangers_do_not_read_it(db):
    assert callers.is_problem(read(None), 401, "not-authenticated")


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_nobody_writes_it(north, method):
    path = "/api/v1/audit" if method == "POST" else "/api/v1/audit/1"

    answer = callers.call(north, method, path, {})

    assert callers.is_problem(answer, 405, "method-not-allowed")


def test_many_lines_take_as_many_queries_as_few(north):
    counts = []
    for names in (["a"], list("bcdefgh")):
        for name in names:
            rename(north, name)
        with CaptureQueriesContext(connection) as captured:
            read(north, "?table=fleet_owner")
        counts.append(len(captured))

    assert counts[0] == counts[1]
