"""Visits sent through the one door for readings, for tests with a database."""

from datetime import UTC, datetime
from typing import Any

from inspections import assessment
from inspections.models import Assessment, Finding
from tests import callers, factories

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


def send(
    cast: factories.Cast,
    *readings: dict[str, Any],
    day: str = "2026-05-04",
    machine: str = "MH-1",
    **visit: Any,
) -> Any:
    """Upload one visit; return the answer's body."""
    items = [
        {"reference": f"{machine}-{day}-{number}", "unit": "mm"} | reading
        for number, reading in enumerate(readings)
    ]
    body = factories.upload(
        reference=f"v-{machine}-{day}",
        machine=machine,
        visited_at=f"{day}T10:00:00+01:00",
        **visit,
    )
    body["visits"][0]["readings"] = items
    answer = callers.upload(cast, body)
    assert answer.status_code // 100 == 2, answer.content[:300]
    callers.confine(cast)
    return answer.json()


def worn(clearance: str, *, diameter: str = "13.0", grooves: int = 5) -> list[dict]:
    """Return a diameter of every rope and a clearance of every groove."""
    return [
        {"kind": "rope_diameter", "rope": n, "value": diameter}
        for n in range(1, grooves + 1)
    ] + [
        {"kind": "bottom_clearance", "groove": n, "value": clearance}
        for n in range(1, grooves + 1)
    ]


def thin(clearance: str) -> list[dict]:
    """Return a clearance of every groove, and ropes that lost 4.6 % of 13 mm."""
    both = [
        {
            "kind": "rope_diameter",
            "rope": n,
            "place": {"direction": way},
            "value": "12.4",
        }
        for n in range(1, 6)
        for way in ("1", "2")
    ]
    return [*both, *[r for r in worn(clearance) if "groove" in r]]


def assess(cast: factories.Cast, *codes: str, at: datetime = NOW) -> Any:
    """Assess machines, all of the contractor's if none is named."""
    callers.confine(cast)
    machines = [factories.machine(cast.scope(), code).pk for code in codes or ("MH-1",)]
    return assessment.assess(scope=cast.scope(), machine_ids=machines, as_of=at)


def latest(cast: factories.Cast, code: str = "MH-1") -> Assessment:
    callers.confine(cast)
    machine = factories.machine(cast.scope(), code)
    return Assessment.objects.filter(machine=machine).latest("pk")


def findings(cast: factories.Cast, topic: str, place: str = "") -> list[Finding]:
    """Return the findings of the latest assessment on one topic."""
    found = latest(cast).findings.filter(topic=topic)
    return list(found.filter(place=place) if place else found)
