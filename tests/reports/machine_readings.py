"""A machine that was measured twice, assessed and forecast."""

from typing import Any

from django.test import Client

from inspections import assessment, forecasts
from tests import callers, factories
from tests.reports.orders import NOW


def readings(cast: factories.Cast) -> None:
    """Upload two visits to MH-1, assess and project it."""
    for visit, clearance in (("2025-05-04", "3.1"), ("2026-05-04", "2.6")):
        items: list[dict[str, Any]] = []
        for n in range(1, 6):
            for direction in "12":
                items.append(
                    {
                        "reference": f"d-{visit}-{n}-{direction}",
                        "kind": "rope_diameter",
                        "rope": n,
                        "place": {"direction": direction},
                        "value": "12.9",
                        "unit": "mm",
                    }
                )
            items.append(
                {
                    "reference": f"c-{visit}-{n}",
                    "kind": "bottom_clearance",
                    "groove": n,
                    "value": clearance,
                    "unit": "mm",
                }
            )
        body = {
            "visits": [
                {
                    "reference": f"v-{visit}",
                    "machine": "MH-1",
                    "visited_at": f"{visit}T10:00:00+01:00",
                    "readings": items,
                }
            ]
        }
        answer = Client().post(
            "/api/v1/uploads",
            body,
            content_type="application/json",
            headers=cast.headers("TECHNICIAN"),
        )
        assert set(answer.json()["counts"]) == {"stored"}, answer.content
    callers.confine(cast)
    scope = cast.scope()
    machine = factories.machine(scope)
    assessment.assess(scope=scope, machine_ids=[machine.pk], as_of=NOW)
    forecasts.project(scope=scope, machine_ids=[machine.pk], as_of=NOW)
