"""A whole contractor goes out and comes in again, readings and all."""

import json

import pytest
from django.db import transaction

from fleet.register.exchange import exporting as register_out
from fleet.register.exchange import importing as register_in
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.register import REGISTER
from inspections.exchange.exporting import ReadingsTable
from inspections.exchange.gauges import GAUGES
from inspections.models import Reading, ReadingState, Upload, Visit
from tests import callers
from tests.inspections.exchange import bulk

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def _demo_of_module(django_db_setup, django_db_blocker):
    """The demo's scope, taken in once for this file and taken back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield bulk.demo_scope()
        transaction.set_rollback(True)


@pytest.fixture
def demo(_demo_of_module, db):
    callers.tenancy.confine(contractor_id=_demo_of_module.contractor_id)
    return _demo_of_module


def register_of(scope):
    return {
        resource.name: b"".join(
            register_out.csv_pieces(
                scope=scope, outgoing=register_out.Register(resource=resource)
            )
        )
        for resource in (*REGISTER, GAUGES)
    }


def test_a_whole_contractor_is_the_same_after_going_out_and_in(demo):
    register, readings = register_of(demo), bulk.take_out(demo)
    judged = _judged(demo)
    second = bulk.second_scope()

    files = [
        register_in.File(resource=resource, content=register[resource.name])
        for resource in (*REGISTER, GAUGES)
    ]
    outcomes = register_in.bring_in(
        scope=second, files=files, dialect=Dialect(), dry_run=False
    )
    outcome = bulk.bring_in(second, readings, most_at_once=500)

    assert all(each.stored for each in outcomes)
    assert outcome.errors == ()
    assert outcome.counts["held"] == 1
    assert register_of(second) == register
    assert bulk.take_out(second) == readings
    assert _judged(second) == judged


def _judged(scope):
    callers.tenancy.confine(contractor_id=scope.contractor_id)
    rows = Reading.objects.within(scope).order_by("reference")
    return list(rows.values_list("reference", "value", "word", "state", "state_reason"))


def test_the_same_heap_again_changes_nothing(demo):
    readings = bulk.take_out(demo)
    uploads = Upload.objects.within(demo).count()

    outcome = bulk.bring_in(demo, readings)

    assert set(outcome.counts) == {"already-stored"}
    assert set(outcome.visits) == {"already-stored"}
    assert (outcome.errors, outcome.stored, outcome.job_ids) == ((), False, ())
    assert Upload.objects.within(demo).count() == uploads


def test_corrections_and_empty_visits_come_back(north):
    callers.confine(north)
    scope = north.scope()
    text = (
        "machine,visit,visited_at,visit_note,reference,kind,rope,value,unit,note,corrects\n"
        "MH-1,v1,2026-05-04T10:00:00+01:00,,b,rope_diameter,1,12.1,mm,misread,a\n"
        "MH-1,v1,2026-05-04T10:00:00+01:00,,c,rope_diameter,1,12.2,mm,misread,b\n"
        "MH-1,v1,2026-05-04T10:00:00+01:00,,a,rope_diameter,1,-0.1,mm,=cmd,\n"
        "MH-1,v2,2026-05-05T10:00:00+01:00,'=nobody there,,,,,,,\n"
    )
    text = text.replace("-0.1", "12.0")

    outcome = bulk.bring_in(scope, text)
    out = bulk.take_out(scope)
    again = bulk.bring_in(scope, out)

    assert outcome.errors == ()
    chain = Reading.objects.within(scope).values_list(
        "reference", "corrects__reference"
    )
    assert set(chain) == {("a", None), ("b", "a"), ("c", "b")}
    assert Visit.objects.within(scope).get(reference="v2").note == "=nobody there"
    assert again.counts == {"already-stored": 3}
    assert b",'=cmd," in out
    assert b",'=nobody there," in out


def test_json_lines_add_what_the_server_knows(demo):
    pieces = register_out.json_line_pieces(scope=demo, outgoing=ReadingsTable())
    records = [json.loads(line) for line in b"".join(pieces).splitlines()]

    held = [r for r in records if r.get("state") == ReadingState.HELD]
    assert len(records) == Reading.objects.within(demo).count()
    assert [(r["value"], r["unit"], r["rope"]) for r in held] == [("100.2", "mm", 5)]
    assert held[0]["canonical"] == {"value": 100.2, "unit": "mm"}
    assert held[0]["place"]["direction"] == "1"


def test_nothing_of_another_contractor_is_taken_out(north, south):
    for cast, value in ((north, "12.8"), (south, "12.7")):
        text = (
            "machine,visited_on,kind,rope,value,unit\n"
            f"MH-1,2026-05-04,rope_diameter,1,{value},mm\n"
        )
        assert bulk.bring_in(cast.scope(), text).stored

    out = bulk.take_out(north.scope())

    assert b",12.8,mm," in out
    assert b"12.7" not in out
