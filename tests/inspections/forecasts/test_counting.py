"""What a deep reading still counts for is stored with its point."""

from datetime import UTC, datetime

import pytest
from django.test import Client

from inspections import assessment, forecasts
from inspections.models import Forecast, ForecastState, Reading, TrackPoint
from tests import callers, factories

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def north():
    cast = factories.cast()
    for code in ("depth-a", "depth-b"):
        body = {"code": code, "name": "depth gauge", "repeatability_mm": 0.1}
        callers.call(cast, "POST", "/api/v1/gauges", body)
    return cast


def visit(cast, day, *, clearance, role, gauge):
    """Upload one visit that reads rope 1 with any, and groove 1 with a depth gauge."""
    of_rope = {"kind": "rope_diameter", "rope": 1, "value": "12.9", "unit": "mm"}
    of_groove = {"kind": "bottom_clearance", "groove": 1, "unit": "mm"}
    read = of_groove | {"value": clearance} | ({"gauge": gauge} if gauge else {})
    body = {
        "visits": [
            {
                "reference": f"v-{day}",
                "machine": "MH-1",
                "visited_at": f"{day}T10:00:00+01:00",
                "readings": [
                    of_rope | {"reference": f"d-{day}"},
                    read | {"reference": f"c-{day}"},
                ],
            }
        ]
    }
    answer = Client().post(
        "/api/v1/uploads",
        body,
        content_type="application/json",
        headers=cast.headers(role),
    )
    assert answer.json()["counts"]["stored"] >= 1, answer.content


def points(cast):
    scope = cast.scope()
    machine = factories.machine(scope)
    assessment.assess(scope=scope, machine_ids=[machine.pk], as_of=NOW)
    forecasts.project(scope=scope, machine_ids=[machine.pk], as_of=NOW)
    callers.confine(cast)
    of_seat = TrackPoint.objects.filter(
        track__machine=machine, track__quantity="seat_depth", track__place="groove 1"
    )
    return list(of_seat.order_by("taken_at"))


@pytest.mark.parametrize(
    ("role", "gauge", "is_bounded"),
    [
        ("OFFICE", "depth-b", True),
        ("TECHNICIAN", "depth-b", False),
        ("OFFICE", "depth-a", False),
        ("OFFICE", None, False),
    ],
)
def test_two_later_readings_bound_it_by_another_person_and_gauge(
    north, role, gauge, is_bounded
):
    visit(north, "2024-05-04", clearance="2.0", role="TECHNICIAN", gauge="depth-a")
    visit(north, "2025-05-04", clearance="3.2", role=role, gauge=gauge)
    visit(north, "2026-05-04", clearance="3.1", role=role, gauge=gauge)

    deep, *later = points(north)

    bound = max(point.level + 2.0 * point.sd for point in later)
    assert deep.level > bound
    assert deep.counts_as == (pytest.approx(bound) if is_bounded else None)
    assert [point.counts_as for point in later] == [None, None]


def confirm(cast, reference):
    pk = Reading.objects.get(reference=reference).pk
    body = {"accepted": True, "why": "measured twice, it is so"}
    return callers.call(cast, "POST", f"/api/v1/readings/{pk}/review", body)


def test_stray_that_the_forecast_asks_about_can_be_confirmed_and_is_the_level(north):
    given = {"role": "TECHNICIAN", "gauge": "depth-a"}
    for year, clearance in enumerate(("3.6", "3.5", "3.4", "3.3", "3.2"), start=2021):
        visit(north, f"{year}-05-04", clearance=clearance, **given)
    assert confirm(north, "c-2025-05-04").status_code == 409
    visit(north, "2026-05-04", clearance="1.6", **given)

    deep = points(north)[-1]
    asked = Forecast.objects.get(current=True, groove__number=1, track=deep.track_id)
    assert asked.state == ForecastState.SUSPENDED
    assert asked.plan_before_on is not None
    assert confirm(north, "c-2026-05-04").status_code in (200, 201)

    # the diameter behind the depth needs no word of its own
    sure = points(north)[-1]
    found = Forecast.objects.get(current=True, track=sure.track_id)
    assert sure.confirmed
    assert found.state != ForecastState.SUSPENDED
    assert found.level == pytest.approx(sure.level, abs=0.15)
    assert found.readings_left_out == []
    assert found.plan_before_on <= asked.plan_before_on
    assert confirm(north, "c-2026-05-04").status_code == 200
