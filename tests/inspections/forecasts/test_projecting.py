"""Forecasts of a machine's places, from its readings to stored dates."""

from datetime import UTC, datetime

import pytest
from django.test import Client

from inspections import assessment, forecasts
from inspections.models import Forecast, ForecastState
from tests import factories

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def north():
    return factories.cast()


def visit(cast, day, *, clearance, diameter="12.9"):
    """Upload one visit that reads rope 1 and groove 1."""
    body = {
        "visits": [
            {
                "reference": f"v-{day}",
                "machine": "MH-1",
                "visited_at": f"{day}T10:00:00+01:00",
                "readings": [
                    {
                        "reference": f"d-{day}",
                        "kind": "rope_diameter",
                        "rope": 1,
                        "value": diameter,
                        "unit": "mm",
                    },
                    {
                        "reference": f"c-{day}",
                        "kind": "bottom_clearance",
                        "groove": 1,
                        "value": clearance,
                        "unit": "mm",
                    },
                ],
            }
        ]
    }
    answer = Client().post(
        "/api/v1/uploads",
        body,
        content_type="application/json",
        headers=cast.headers("TECHNICIAN"),
    )
    assert answer.json()["counts"] == {"stored": 2}, answer.content


def projected(cast):
    scope = cast.scope()
    machine = factories.machine(scope)
    assessment.assess(scope=scope, machine_ids=[machine.pk], as_of=NOW)
    forecasts.project(scope=scope, machine_ids=[machine.pk], as_of=NOW)
    return {
        (f.quantity, f.place): f
        for f in Forecast.objects.filter(machine=machine, current=True)
    }


def test_clearance_that_shrinks_gives_dates_in_order(north):
    for day, clearance in (
        ("2022-05-04", "3.6"),
        ("2023-05-04", "3.3"),
        ("2024-05-04", "2.9"),
        ("2025-05-04", "2.6"),
        ("2026-05-04", "2.3"),
    ):
        visit(north, day, clearance=clearance)

    found = projected(north)["seat_depth", "groove 1"]

    assert found.state == ForecastState.ESTABLISHED
    assert found.p02_on < found.p10_on < found.p50_on < found.p90_on
    # it wore more slowly before its first reading than since
    assert found.plan_before_on < found.p02_on
    assert "run ahead" in found.caution
    # 0.33 mm a year, 1.8 mm left down to the 0.5 mm kept as allowance.
    assert 2030 <= found.p50_on.year <= 2033
    assert len(found.readings_used) == 10


def test_place_without_readings_has_a_row_that_says_so(north):
    visit(north, "2026-05-04", clearance="2.6")

    found = projected(north)["seat_depth", "groove 2"]

    assert (found.state, found.reason) == (ForecastState.NONE, "no reading yet")
    assert found.p10_on is None


def test_new_projection_replaces_the_standing_one(north):
    visit(north, "2026-05-04", clearance="2.6")
    first = projected(north)

    again = projected(north)

    assert again.keys() == first.keys()
    assert Forecast.objects.filter(current=True).count() == len(again)
    assert (
        again["seat_depth", "groove 1"].p10_on == first["seat_depth", "groove 1"].p10_on
    )


def test_band_ends_where_the_dates_are(north):
    for day, clearance in (
        ("2024-05-04", "3.2"),
        ("2025-05-04", "2.8"),
        ("2026-05-04", "2.4"),
    ):
        visit(north, day, clearance=clearance)

    found = projected(north)["seat_depth", "groove 1"]

    high_at = {day: high for day, _, _, high in found.band}
    assert high_at[found.p10_on.isoformat()] == pytest.approx(found.limit)
