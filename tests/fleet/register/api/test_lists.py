"""Lists: filters, pages, cursors, and a fixed number of queries."""

import pytest
from django.core import signing
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Machine, Owner
from tests import callers, estates
from tests.fleet.project.test_urls import LISTS

pytestmark = pytest.mark.django_db


@pytest.fixture
def north(world):
    return world.north


def get(cast, path, **how):
    return callers.call(cast, "GET", f"/api/v1/{path}", **how)


# --- filters; faults 27 to 31 ---------------------------------------------------------
@pytest.mark.parametrize(
    "query",
    [
        "colour=red",
        "machine__code=MH-1",
        "building__contractor=1",
        "ordering=building",
        "ordering=--name",
        "ordering=",
        "ordering=name,code",
        "ordering=name&ordering=code",
        "ordering=building__name",
        "code__regex=[",
        "code__icontains=M",
        "search=",
        "search=%00",
        "search=x&search=y",
        f"search={'x' * 101}",
        "Code=MH-1",
        "page=2",
        "format=api",
        "building=",
        "building=1&building=2",
        "building=abc",
        "building=1_0",
        "building=-1",
        "building=%D9%A1",
        "building=1%00",
        "code=",
        "code=%00",
        "retired_on__isnull=maybe",
        "retired_on__isnull=1",
        "retired_on__isnull=True",
        "page_size=0",
        "page_size=-1",
        "page_size=abc",
        "page_size=1.5",
        "page_size=%D9%A1",
        "page_size=",
        "cursor=",
        "cursor=abc",
        "cursor=1:2:3",
        "cursor=%00",
    ],
)
def test_a_filter_that_is_none_or_odd_is_refused_and_not_ignored(north, query):
    answer = get(north, f"machines?{query}")

    assert answer.status_code == 400, (query, answer.content)
    assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize(
    "query",
    [
        "taken_at__gte=2026-05-04T10:00:00",
        "taken_at__gte=2026-05-04",
        "taken_at__gte=0001-01-01T00:00:00Z",
        "taken_at__lt=tomorrow",
        "state=BROKEN",
    ],
)
def test_a_time_in_a_filter_has_its_offset_and_a_state_is_known(north, query):
    assert callers.is_problem(get(north, f"readings?{query}"), 400, "invalid")


@pytest.mark.parametrize("query", ["plan_before_on__lt=28/02/2026", "state=SOON"])
def test_a_day_in_a_filter_is_written_one_way(north, query):
    assert callers.is_problem(get(north, f"forecasts?{query}"), 400, "invalid")


def test_filters_narrow(world):
    callers.confine(world.north)
    machine = Machine.objects.get(code="QC-1")

    by_code = get(world.north, "machines?code=QC-1").json()["results"]
    by_owner = get(
        world.north, f"machines?building__owner={machine.building.owner_id}"
    ).json()["results"]
    readings = get(
        world.north,
        f"readings?machine={machine.pk}&taken_at__gte=2026-05-04T10:00:00%2B01:00",
    ).json()["results"]
    later = get(world.north, "readings?taken_at__gte=2026-05-04T09:00:01Z")
    graded = get(world.north, "findings?grade__in=IN_ORDER,ACT_NOW&stops_service=false")

    assert [row["code"] for row in by_code] == ["QC-1"]
    assert [row["code"] for row in by_owner] == ["QC-1"]
    assert [row["reference"] for row in readings] == ["r-QC-1"]
    assert later.json()["results"] == []
    assert len(graded.json()["results"]) == 2


def test_a_filter_by_an_id_out_of_reach_finds_what_one_of_nothing_finds(world):
    # Fault 34: neither another contractor's nor another owner's building can be told
    # from one that is not there.
    callers.confine(world.south)
    foreign = Machine.objects.first().building_id
    callers.confine(world.north)
    beyond = Machine.objects.get(code="QC-1").building_id

    for role, pk in (("OFFICE", foreign), ("OWNER_READER", beyond)):
        answers = [
            get(world.north, f"machines?building={n}", role=role) for n in (pk, 10**9)
        ]
        assert [a.status_code for a in answers] == [200, 200]
        assert answers[0].json() == answers[1].json() == {"next": None, "results": []}


def test_sql_in_a_filter_has_no_effect(north):
    answer = get(north, "machines?code=x'%20OR%201=1;--")

    assert answer.status_code == 200
    assert answer.json()["results"] == []


# --- pages ----------------------------------------------------------------------------
def test_pages_hold_every_row_once_and_in_order(world):
    path, seen = "grooves?page_size=3", []
    while path:
        body = get(world.north, path).json()
        assert len(body["results"]) <= 3
        seen += [row["id"] for row in body["results"]]
        path = body["next"] and body["next"].removeprefix("http://testserver/api/v1/")

    callers.confine(world.north)
    assert seen == sorted(seen)
    assert len(seen) == len(set(seen)) == 10


def test_a_page_is_no_larger_than_the_largest(north):
    assert get(north, "owners?page_size=999999999999").status_code == 200
    callers.confine(north)
    Owner.objects.bulk_create(
        Owner(contractor=north.contractor, name="o", code=f"o-{n}") for n in range(210)
    )

    assert len(get(north, "owners?page_size=1000").json()["results"]) == 200
    assert len(get(north, "owners").json()["results"]) == 50


def test_a_cursor_is_bound_to_its_query_and_reader(world):
    address = get(world.north, "machines?page_size=1").json()["next"]
    cursor = address.split("cursor=")[1].split("&")[0]

    for path, role in (
        ("owners", "OFFICE"),
        ("machines?code=MH-1", "OFFICE"),
        ("machines", "OWNER_READER"),
    ):
        mark = "&" if "?" in path else "?"
        answer = get(world.north, f"{path}{mark}cursor={cursor}", role=role)
        assert callers.is_problem(answer, 400, "parse-error")
    assert get(world.north, f"machines?cursor={cursor}").status_code == 200
    assert get(world.north, f"machines?page_size=5&cursor={cursor}").status_code == 200


@pytest.mark.parametrize("content", [["x", 1], "text", 5, [1, 2, 3], None, {"a": 1}])
def test_a_signed_cursor_of_another_shape_is_refused(north, content):
    cursor = signing.dumps(content, salt="cursor")

    answer = get(north, f"machines?cursor={cursor}")

    assert callers.is_problem(answer, 400, "parse-error")


# --- order and search -----------------------------------------------------------------
@pytest.mark.parametrize("ordering", ["code", "-code", "installed_on", "-installed_on"])
def test_a_list_in_order_holds_every_row_once_page_by_page(world, ordering):
    estates.grow(world.north, machines=6)
    callers.confine(world.north)
    machines = Machine.objects.filter(contractor=world.north.contractor)
    for number, machine in enumerate(machines.order_by("pk")[:4]):
        # Two of the same day, and the rest without one.
        machine.installed_on = f"20{15 + number // 2}-03-01"
        machine.save()
    path, seen = f"machines?page_size=3&ordering={ordering}", []
    while path:
        body = get(world.north, path).json()
        seen += body["results"]
        path = body["next"] and body["next"].removeprefix("http://testserver/api/v1/")

    assert len({row["id"] for row in seen}) == len(seen) == 8
    name = ordering.removeprefix("-")
    known = [row[name] for row in seen if row[name] is not None]
    assert known == sorted(known, reverse=ordering.startswith("-"))
    assert [row[name] for row in seen][len(known) :] == [None] * (8 - len(known))


def test_a_cursor_of_one_order_is_no_use_in_another(world):
    address = get(world.north, "machines?page_size=1&ordering=code").json()["next"]
    cursor = address.split("cursor=")[1].split("&")[0]

    for query in ("", "ordering=-code&", "ordering=name&"):
        answer = get(world.north, f"machines?{query}cursor={cursor}")
        assert callers.is_problem(answer, 400, "parse-error")


def test_a_search_finds_parts_of_names_and_nothing_out_of_reach(world):
    def found(query, role="OFFICE"):
        answer = get(world.north, f"machines?{query}", role=role)
        assert answer.status_code == 200, answer.content
        return [row["code"] for row in answer.json()["results"]]

    assert found("search=quay%20court") == ["QC-1"]
    assert found("search=lift%201&ordering=-code") == ["QC-1", "MH-1"]
    assert found("search=quay", role="OWNER_READER") == []
    assert found("search=%25") == found("search=_") == found("search=\\") == []


def test_a_list_of_readings_has_no_order_to_ask_for(north):
    for query in ("ordering=id", "search=x"):
        assert callers.is_problem(get(north, f"readings?{query}"), 400, "parse-error")


# --- a fixed number of queries; fault 32 ----------------------------------------------
def test_every_list_needs_as_many_queries_for_sixteen_rows_as_for_four(world):
    estates.grow(world.north, machines=2)
    few = {path: queries(world.north, path, 4) for path in LISTS}
    estates.grow(world.north, machines=12, mark="more")
    many = {path: queries(world.north, path, 16) for path in LISTS}

    assert few == many
    # Token, its use, the count of requests, the setting, the savepoint twice, the rows.
    # An import is told with its job and with what of it is stored.
    assert few.pop("api/v1/imports") <= 10
    assert max(few.values()) <= 7, few


def queries(cast, path, rows):
    callers.call(cast, "GET", f"/{path}")
    with CaptureQueriesContext(connection) as captured:
        answer = callers.call(cast, "GET", f"/{path}?page_size={rows}")
    assert len(answer.json()["results"]) >= min(rows, 2)
    return len(captured)


def test_a_machines_condition_needs_as_many_queries_for_sixty_findings(world):
    callers.confine(world.north)
    few, many = Machine.objects.order_by("pk")
    estates.assess(world.north, few, findings=10)
    estates.assess(world.north, many, findings=60)

    callers.call(world.north, "GET", "/api/v1/owners")
    counts = []
    for machine, findings in ((few, 10), (many, 60)):
        with CaptureQueriesContext(connection) as captured:
            answer = get(world.north, f"machines/{machine.pk}/condition")
        assert len(answer.json()["findings"]) == findings
        counts.append(len(captured))

    assert counts[0] == counts[1] <= 11
