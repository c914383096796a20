"""A machine in one request: what it holds, its tag, its queries, who sees it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Groove, Machine, Sheave
from inspections.models import Finding
from tests import callers, estates, factories
from tests.inspections.completion import reports

pytestmark = pytest.mark.django_db


def page(cast, code="MH-1", query="", **how):
    callers.confine(cast)
    pk = Machine.objects.within(cast.scope()).get(code=code).pk
    return callers.call(cast, "GET", f"/api/v1/machines/{pk}/page{query}", **how)


def body(cast, **how):
    answer = page(cast, **how)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_it_holds_the_parts_fitted_now_and_their_map(north):
    estates.fill(north, factories.machine(north.scope()))

    found = body(north)

    assert found["machine"]["code"] == "MH-1"
    assert found["building"]["owner_name"] == "Mill Estate"
    assert [pulley["kind"] for pulley in found["pulleys"]] == ["DEFLECTOR"]
    assert found["geometry"]["form"] == "UNDERCUT"
    assert [groove["number"] for groove in found["grooves"]] == [1, 2, 3, 4, 5]
    assert found["rope_set"]["nominal_diameter_mm"] == 13.0
    assert [
        (r["number"], [g["number"] for g in r["grooves"]]) for r in found["ropes"]
    ] == [(n, [n]) for n in range(1, 6)]
    assert [work["kind"] for work in found["works"]] == ["LUBRICATION"]
    [reading] = found["last_readings"]
    assert (reading["kind"], reading["canonical"]) == (
        "bottom_clearance",
        {"value": 2.0, "unit": "mm"},
    )
    assert found["grade"] == "IN_ORDER"
    assert found["findings"] == []
    assert len(found["forecasts"]) == 1
    assert found["cautions"]


def test_it_shows_the_last_reading_of_each_kind_and_place(north):
    diameter = {"value": "12.9", "unit": "mm"}
    callers.upload(
        north,
        factories.upload(
            diameter,
            diameter | {"rope": 2},
            diameter | {"rope": 2, "place": {"station": "top"}},
            visited_at="2025-05-04T10:00:00+01:00",
        ),
    )
    callers.upload(
        north,
        factories.upload(
            {"reference": "n", "value": "12.7", "unit": "mm"},
            {"reference": "h", "value": "14.5", "unit": "mm"},
            reference="v-2",
        ),
    )

    found = body(north)

    shown = [(row["reference"]) for row in found["last_readings"]]
    assert sorted(shown) == ["n", "r-1", "r-2"]
    # Held: shown, but not as the last one.
    assert [row["reference"] for row in found["to_confirm"]] == ["h"]


def test_after_work_it_shows_the_new_parts_and_keeps_the_old_cut(north):
    callers.upload(north, factories.upload({"value": "12.9", "unit": "mm"}))
    answer = reports.send(north, reports.regrooving(done_on="2026-05-05"))

    found = body(north)

    assert found["rope_set"]["id"] == answer.json()["rope_set"]
    assert found["geometry"]["id"] == answer.json()["geometry"]
    assert [g["pitch_diameter_mm"] for g in found["earlier_geometries"]] == [600.0]
    assert {work["kind"] for work in found["works"]} == {"REGROOVING", "ROPING"}
    assert found["last_readings"] == []


def test_a_machine_without_parts_has_a_page_too(north):
    callers.confine(north)
    building = factories.machine(north.scope()).building
    Machine.objects.create(
        contractor=north.contractor, building=building, code="bare", name="bare"
    )

    found = body(north, code="bare")

    assert (found["sheave"], found["geometry"], found["rope_set"]) == (None, None, None)
    assert found["ropes"] == found["grooves"] == found["last_readings"] == []
    assert (found["grade"], found["assessed_at"]) == ("NOT_ASSESSED", None)


# --- its tag --------------------------------------------------------------------------
def test_a_page_that_has_not_changed_is_not_sent_again(north):
    tag = page(north)["ETag"]

    same = page(north, If_None_Match=tag)
    callers.upload(north, factories.upload({"value": "12.9", "unit": "mm"}))
    changed = page(north, If_None_Match=tag)

    assert (same.status_code, same.content, same["ETag"]) == (304, b"", tag)
    assert changed.status_code == 200
    assert changed["ETag"] != tag


# --- its queries ----------------------------------------------------------------------
def test_it_needs_as_many_queries_for_twenty_ropes_and_years_as_for_one(north):
    callers.confine(north)
    sheave = Sheave.objects.get(machine__code="MH-1")
    Groove.objects.bulk_create(
        Groove(contractor=north.contractor, sheave=sheave, number=n)
        for n in range(6, 21)
    )
    counts = []
    callers.call(north, "GET", "/api/v1/owners")
    for ropes, years in ((1, [2006]), (20, range(2007, 2026))):
        report = reports.roping(
            done_on=f"{2024 + len(counts)}-01-01", rope_set=reports.ropes(ropes)
        )
        assert reports.send(north, report).status_code == 201
        for year in years:
            day = f"{2021 + year % 5}-0{1 + year % 9}-02"
            work = {"kind": "LUBRICATION", "done_on": day}
            assert reports.send(north, work).status_code == 201
        callers.upload(
            north,
            factories.upload(
                *(
                    {"reference": f"{ropes}-{n}", "rope": n, "value": "12.9"}
                    | {"unit": "mm"}
                    for n in range(1, ropes + 1)
                ),
                reference=f"v-{ropes}",
                visited_at=f"{2024 + len(counts)}-05-04T10:00:00+01:00",
            ),
        )
        callers.confine(north)
        estates.assess(north, factories.machine(north.scope()), findings=ropes)
        with CaptureQueriesContext(connection) as captured:
            found = body(north)
        assert len(found["ropes"]) == len(found["last_readings"]) == ropes
        counts.append(len(captured))

    assert counts[0] == counts[1] <= 27


# --- who ------------------------------------------------------------------------------
def test_a_reader_sees_the_own_machine_and_no_other(north, south):
    assert page(north, role="OWNER_READER").status_code == 200
    assert callers.is_problem(
        page(north, code="QC-1", role="OWNER_READER"), 404, "not-found"
    )
    callers.confine(south)
    foreign = factories.machine(south.scope()).pk
    answer = callers.call(north, "GET", f"/api/v1/machines/{foreign}/page")
    assert callers.is_problem(answer, 404, "not-found")


def test_it_takes_no_parameters(north):
    answer = page(north, query="?colour=red")

    assert callers.is_problem(answer, 400, "parse-error")


def test_what_is_open_is_on_the_page_with_its_sentence_for_every_role(north):
    estates.fill(north, factories.machine(north.scope()))
    callers.confine(north)
    stated = {"answer": "OPEN", "worst": -0.2, "typical": 0.1, "best": 0.3}
    Finding.objects.update(chance_beyond=0.4, grade="IN_ORDER", unit="", **stated)

    for role in ("OFFICE", "TECHNICIAN", "OWNER_READER"):
        [found] = body(north, role=role)["findings"]

        assert {name: found[name] for name in stated} == stated
        assert found["chance_beyond"] == 0.4
        assert "between -0.2 and 0.3, 0.1 with usual values" in found["open_words"]
        assert "by 40 chances in 100" in found["open_words"]
        assert found["open_said"]["code"] == "ends_between"


def test_what_is_not_open_has_no_sentence_for_it(north):
    estates.fill(north, factories.machine(north.scope()))
    callers.confine(north)
    Finding.objects.update(grade="PLAN_WORK", answer="WITHIN")

    [found] = body(north)["findings"]

    assert (found["open_words"], found["open_said"]) == ("", None)
