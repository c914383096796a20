"""From a limit that is near to a choice, to work, to what was found, round again."""

from datetime import UTC, date, datetime

import pytest
import time_machine

from inspections.models import (
    DueWork,
    Finding,
    Forecast,
    OptionSet,
    PlannedWork,
    WearTrack,
)
from tests import callers, factories
from tests.inspections.completion import reports
from tests.inspections.options import worn
from tests.inspections.planning.test_finishing import proven

pytestmark = pytest.mark.django_db

AFTER = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def north(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    with time_machine.travel("2026-05-05T08:00:00+00:00", tick=True):
        yield factories.cast(code="north")


def get(cast, path, role="OFFICE"):
    answer = callers.call(cast, "GET", f"/api/v1/{path}", role=role)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_a_worn_groove_is_decided_on_turned_and_read_again(north):
    # Readings bring the machine near its limit, and the list says so.
    machine = worn.machine(north)
    near = Finding.objects.get(topic="bottom clearance", place="groove 1")
    assert near.value == 0.8
    [line] = get(north, "due-works")["results"]
    assert (line["machine"], line["state"]) == (machine.pk, "PROPOSED")
    assert line["risk"] > 0.5

    # The office reads the options and picks one; the technician sees the plan.
    options = get(north, f"machines/{machine.pk}/options")["options"]
    cut = next(o for o in options if o["kind"] == "REGROOVE_IN_SHOP")
    assert set(cut["addresses"]) == {f"seat_depth/groove {n}" for n in range(1, 6)}
    # Deepest seat 3.2 mm and 1.6 mm clean-up: 9.6 mm off the diameter of 600 mm.
    assert cut["pitch_diameter_after_mm"] == pytest.approx(590.4)
    chosen = callers.call(
        north,
        "POST",
        "/api/v1/planned-works",
        {"machine": machine.pk, "option": "REGROOVE_IN_SHOP", "note": "in May"},
    ).json()
    [seen] = get(north, "planned-works?state=PLANNED", "TECHNICIAN")["results"]
    assert (seen["id"], seen["reported_as"]) == (chosen["id"], "REGROOVING")

    # The crew reports it done, with everything read as left.
    answer = reports.send(
        north,
        reports.regrooving(as_left=proven(), planned_work=chosen["id"]),
        role="TECHNICIAN",
    )
    assert answer.status_code == 201, answer.content
    [retension] = answer.json()["follow_ups"]

    # Geometry, segments, findings, forecasts and options follow from it.
    worn.look(north, AFTER)
    tracks = WearTrack.objects.filter(quantity="seat_depth", place="groove 1")
    assert [(t.begun_on, t.closed_on) for t in tracks.order_by("begun_on")] == [
        (date(2020, 1, 15), date(2026, 5, 4)),
        (date(2026, 5, 4), None),
    ]
    forecast = Forecast.objects.get(
        current=True, quantity="seat_depth", place="groove 1"
    )
    assert forecast.level == pytest.approx(0.0, abs=0.3)
    assert forecast.p50_on > date(2030, 1, 1)
    found = Finding.objects.filter(topic="bottom clearance", place="groove 1")
    assert found.order_by("pk").last().value == 3.85
    after = OptionSet.objects.get()
    assert after.version == 2
    cut = next(o for o in after.options if o["kind"] == "REGROOVE_IN_SHOP")
    assert cut["addresses"] == []

    # What was planned stands beside what was found; the tensions come next.
    plan = PlannedWork.objects.get(pk=chosen["id"])
    assert plan.planned["pitch_diameter_after_mm"] == pytest.approx(590.4)
    beside = {each["what"]: each for each in plan.found["compared"]}
    assert beside["pitch diameter"]["found"] == 592.0
    assert beside["pitch diameter"]["difference"] == pytest.approx(1.6)
    assert plan.found["lacking"] == []
    lines = DueWork.objects.filter(planned_work__isnull=False)
    assert [each.planned_work_id for each in lines] == [retension["id"]]
    assert retension["kind"] == "RETENSION"
