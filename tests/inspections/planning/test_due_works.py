"""The portfolio's list: filters, order, groups, a file; constant queries."""

import csv
import io
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Building, Machine
from inspections.models import DueWork
from inspections.options.due import NO_DAY
from tests import callers, estates

pytestmark = pytest.mark.django_db

ROPE = "rope 13 mm, 8x19"
DAYS = (date(2026, 9, 1), date(2027, 3, 1), date(2029, 1, 1), None)


@pytest.fixture
def lines(north):
    """Give one building four machines with sheaves to replace, and one elsewhere."""
    estates.grow(north, machines=4)
    callers.confine(north)
    DueWork.objects.all().delete()
    machines = list(Machine.objects.order_by("code").select_related("building"))
    mill = [m for m in machines if m.code.startswith("grown")]
    quay = Building.objects.get(code="quay-court").machines.get()
    found = [
        line(north, m, due=day, hoists=True) for m, day in zip(mill, DAYS, strict=True)
    ]
    found.append(line(north, quay, due=date(2026, 12, 1), risk=0.4, part="other rope"))
    return found


def line(cast, machine, *, due, risk=0.0, part=ROPE, hoists=False):
    return DueWork.objects.create(
        contractor=cast.contractor,
        machine=machine,
        building_id=machine.building_id,
        owner_id=machine.building.owner_id,
        state="PROPOSED",
        kind="REPLACE_SHEAVE",
        due_before_on=due,
        order_by_on=due,
        rank_on=due or NO_DAY,
        risk=risk,
        grade="PLAN_WORK",
        part=part,
        part_count=5,
        hoists=hoists,
        cost_low="100.00",
        cost_high="200.00",
        currency="EUR",
        reason="=HYPERLINK(1)",
    )


def read(cast, path="", role="OFFICE", **query):
    named = "&".join(f"{name}={value}" for name, value in query.items())
    return callers.call(cast, "GET", f"/api/v1/due-works{path}?{named}", role=role)


def ids(answer):
    assert answer.status_code == 200, answer.content
    return [row["id"] for row in answer.json()["results"]]


def test_the_earliest_day_comes_first_and_no_day_last(north, lines):
    first, second, third, dateless, quay = (each.pk for each in lines)

    assert ids(read(north)) == [first, quay, second, third, dateless]


def test_by_risk_the_greatest_chance_comes_first(north, lines):
    assert ids(read(north, ordering="-risk"))[0] == lines[-1].pk


def test_pages_go_on_where_the_last_one_ended(north, lines):
    whole, found, address = ids(read(north)), [], "/api/v1/due-works?page_size=2"
    while address:
        page = callers.call(north, "GET", address).json()
        found += [row["id"] for row in page["results"]]
        address = (page["next"] or "").removeprefix("http://testserver")

    assert found == whole


@pytest.mark.parametrize(
    ("query", "wanted"),
    [
        ({"due_before_on__lt": "2027-01-01"}, [0, 4]),
        ({"hoists": "false"}, [4]),
        ({"part": "other rope"}, [4]),
        ({"risk__gte": "0.3"}, [4]),
        ({"search": "quay"}, [4]),
        ({"state": "PLANNED"}, []),
        ({"kind": "RE_ROPE"}, []),
    ],
)
def test_filters_and_search_pick_lines(north, lines, query, wanted):
    assert ids(read(north, **query)) == [lines[number].pk for number in wanted]


@pytest.mark.parametrize("query", ["risk=much", "nonsense=1", "state="])
def test_a_filter_that_cannot_be_read_is_refused(north, lines, query):
    answer = callers.call(north, "GET", f"/api/v1/due-works?{query}")

    assert answer.status_code == 400


def test_a_building_has_its_lines_and_what_neighbours_share(north, lines):
    mill, quay = read(north, "/by-building").json()["results"]

    assert (mill["works"], mill["machines"]) == (4, 4)
    assert mill["due_before_on"] == "2026-09-01"
    # Half a year apart: one hoisting. Two years later: another. No day: none.
    assert mill["hoistings"] == [
        {
            "window_from_on": "2026-03-01",
            "due_before_on": "2026-09-01",
            "room": "",
            "lines": [lines[0].pk, lines[1].pk],
        },
        {
            "window_from_on": "2028-01-02",
            "due_before_on": "2029-01-01",
            "room": "",
            "lines": [lines[2].pk],
        },
    ]
    assert (quay["building_code"], quay["hoistings"]) == ("quay-court", [])


def test_the_same_rope_for_several_machines_is_one_order(north, lines):
    rows = read(north, "/by-part").json()["results"]

    assert [(row["part"], row["count"], row["machines"]) for row in rows] == [
        (ROPE, 20, 4),
        ("other rope", 5, 1),
    ]
    assert rows[0]["order_by_on"] == "2026-09-01"


def test_groups_come_in_pages(north, lines):
    first = read(north, "/by-part", page_size=1).json()
    rest = callers.call(
        north, "GET", first["next"].removeprefix("http://testserver")
    ).json()

    assert [row["part"] for row in first["results"] + rest["results"]] == [
        ROPE,
        "other rope",
    ]
    assert rest["next"] is None


def test_an_owners_reader_sees_the_own_buildings_lines_without_money(north, lines):
    seen = read(north, role="OWNER_READER")

    assert lines[-1].pk not in ids(seen)
    assert len(ids(seen)) == 4
    groups = read(north, "/by-building", role="OWNER_READER").json()["results"]
    assert [group["building_code"] for group in groups] == ["mill-house"]


def test_the_file_has_every_line_and_no_formula(north, lines):
    answer = read(north, "/csv", due_before_on__lt="2027-01-01")

    rows = list(csv.DictReader(io.StringIO(answer.content.decode(), newline="")))
    assert [row["due_before_on"] for row in rows] == ["2026-09-01", "2026-12-01"]
    assert rows[0]["cost_low"] == "100.00"
    assert not rows[0]["reason"].startswith("=")


def test_the_readers_file_has_no_money(north, lines):
    answer = read(north, "/csv", role="OWNER_READER")

    assert "cost" not in answer.content.decode().splitlines()[0]


@pytest.mark.parametrize("path", ["", "/by-building", "/by-part", "/csv"])
def test_queries_do_not_grow_with_the_lines(north, lines, path):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            assert read(north, path).status_code == 200
        return len(queries)

    asked()  # The first call of a token notes its use.
    few = asked()
    callers.confine(north)
    machines = list(Machine.objects.select_related("building"))
    for number, machine in enumerate(machines * 3):
        line(north, machine, due=date(2027, 1, 1), part=f"rope {number}", hoists=True)

    assert asked() == few
