"""Readings, a limit that is near, a cut with new ropes, and wear that begins anew."""

from datetime import UTC, date, datetime

import pytest

from inspections import assessment, forecasts, inputs
from inspections.models import Finding, Forecast, Visit, WearTrack
from tests import callers, factories
from tests.inspections.completion import reports

pytestmark = pytest.mark.django_db

BEFORE = datetime(2026, 5, 1, tzinfo=UTC)
AFTER = datetime(2026, 6, 1, tzinfo=UTC)
# Clearance left under the ropes, year by year: 4.0 mm as cut in 2020.
WORN = {2021: 3.4, 2022: 2.9, 2023: 2.3, 2024: 1.8, 2025: 1.2, 2026: 0.8}


@pytest.fixture
def north(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return factories.cast(code="north")


def read(cast, *, year, clearance_mm):
    readings = [
        {"reference": f"{year}-{kind}-{n}", "kind": kind, where: n, "unit": "mm"}
        | {"value": f"{value:.2f}"}
        for n in range(1, 6)
        for kind, where, value in (
            ("bottom_clearance", "groove", clearance_mm),
            ("rope_diameter", "rope", 13.0),
        )
    ]
    answer = callers.upload(
        cast,
        factories.upload(
            *readings, reference=f"v-{year}", visited_at=f"{year}-04-15T10:00:00+01:00"
        ),
    )
    assert answer.status_code == 207
    assert answer.json()["counts"] == {"stored": 10}, answer.content


def look(cast, at):
    """Assess and forecast the machine as the workers would."""
    callers.confine(cast)
    machine = factories.machine(cast.scope())
    for act in (assessment.assess, forecasts.project):
        act(scope=cast.scope(), machine_ids=[machine.pk], as_of=at)
    return machine


def seats(cast, machine, at):
    """Return each groove's seat depths as an assessment of that day has them."""
    callers.confine(cast)
    [snapshot] = inputs.load(scope=cast.scope(), machine_ids=[machine.pk], as_of=at)
    found = inputs.seat_series(
        snapshot, groove=inputs.groove_of(snapshot.need_geometry())
    )
    numbers = {groove.pk: groove.number for groove in snapshot.grooves}
    return {
        numbers[pk]: [(each.taken_at.year, each.seat.depth_mm) for each in series]
        for pk, series in found.items()
    }


def test_a_cut_ends_the_old_wear_and_begins_the_new(north):
    # Readings bring the machine near its limit.
    for year, clearance_mm in WORN.items():
        read(north, year=year, clearance_mm=clearance_mm)
    machine = look(north, BEFORE)
    worn = seats(north, machine, BEFORE)
    assert [year for year, _ in worn[1]] == list(WORN)
    # From 4.0 mm as cut to 0.8 mm the seat has sunk by 3.2 mm, give or take the
    # geometry of a rope that lies on two edges.
    assert worn[1][-1][1] == pytest.approx(3.2, abs=0.3)
    old = Forecast.objects.get(current=True, quantity="seat_depth", place="groove 1")
    assert old.state == "ESTABLISHED"
    # Within weeks, while the date that is as likely missed as met lies further off.
    assert old.plan_before_on < date(2026, 6, 1) < old.p50_on < date(2028, 1, 1)
    near = Finding.objects.get(topic="bottom clearance", place="groove 1")
    assert (near.grade, near.value) == ("KEEP_AN_EYE_ON", 0.8)

    # Regrooved with new ropes, read as left.
    left = [
        {"kind": kind, where: n, "value": value, "unit": "mm"}
        for n in range(1, 6)
        for kind, where, value in (
            ("rope_diameter", "rope", "13.3"),
            ("bottom_clearance", "groove", "3.85"),
        )
    ]
    answer = reports.send(
        north, reports.regrooving(as_left=reports.as_left(*left)), role="TECHNICIAN"
    )
    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert [work["kind"] for work in body["works"]] == ["REGROOVING", "ROPING"]
    assert body["as_left"]["counts"] == {"stored": 10}
    assert {n["code"] for n in body["notices"]} == {"speed-falls"}
    callers.confine(north)
    visit = Visit.objects.get(reference="left-1")
    assert (visit.kind, visit.work_id) == ("AS_LEFT", body["works"][0]["id"])

    # The old segments are closed, new ones are open, the forecast starts anew.
    look(north, AFTER)
    tracks = WearTrack.objects.filter(quantity="seat_depth", place="groove 1")
    assert [(t.begun_on, t.closed_on) for t in tracks.order_by("begun_on")] == [
        (date(2020, 1, 15), date(2026, 5, 4)),
        (date(2026, 5, 4), None),
    ]
    new = Forecast.objects.get(current=True, quantity="seat_depth", place="groove 1")
    assert new.track.begun_on == date(2026, 5, 4)
    assert new.level == pytest.approx(0.0, abs=0.3)
    assert new.state == "PROVISIONAL"
    assert new.p50_on > date(2030, 1, 1)
    left_ids = {entry["id"] for entry in body["as_left"]["readings"]}
    assert set(new.readings_used) < left_ids

    # Old readings are still judged with the grooves and ropes of their day.
    assert seats(north, machine, BEFORE) == worn
    assert [year for year, _ in seats(north, machine, AFTER)[1]] == [2026]


def test_what_was_found_on_the_morning_of_the_cut_is_no_beginning(north):
    # In Sydney the night shift ends on the day before by UTC.
    callers.confine(north)
    machine = factories.machine(north.scope())
    type(machine.building).objects.filter(pk=machine.building_id).update(
        time_zone="Australia/Sydney"
    )
    found = [
        {"reference": f"f-{kind}", "kind": kind, where: 1, "value": value, "unit": "mm"}
        | {"groove" if where == "rope" else "rope": None}
        for kind, where, value in (
            ("bottom_clearance", "groove", "0.8"),
            ("rope_diameter", "rope", "12.6"),
        )
    ]
    at = {"reference": "found", "visited_at": "2026-05-04T01:00:00+10:00"}
    callers.upload(north, factories.upload(*found, **at))
    left = [
        {"kind": "rope_diameter", "rope": 1, "value": "13.3", "unit": "mm"},
        {"kind": "bottom_clearance", "groove": 1, "value": "3.85", "unit": "mm"},
    ]
    visit = reports.as_left(*left, visited_at="2026-05-04T07:30:00+10:00")

    answer = reports.send(north, reports.regrooving(as_left=visit))

    assert answer.status_code == 201, answer.content
    assert "found-that-day" in {n["code"] for n in answer.json()["notices"]}
    [series] = seats(north, machine, AFTER).values()
    # 4.0 mm as cut for 13.0 mm ropes, 3.85 mm left under 13.3 mm: hardly any depth.
    assert len(series) == 1
    assert series[0][1] == pytest.approx(0.0, abs=0.3)
