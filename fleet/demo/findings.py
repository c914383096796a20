"""What the API says of each machine, cut down to what matters most."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fleet.demo.client import Client

# "Not known" stands before "monitor": an unknown is no comfort.
MOST_URGENT_FIRST = (
    "STOPPED",
    "ACT_NOW",
    "PLAN_WORK",
    "NOT_ASSESSED",
    "KEEP_AN_EYE_ON",
    "IN_ORDER",
)
QUIET = ("IN_ORDER", "NOT_ASSESSED")


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineFound:
    """One machine's grade, its matters most urgent first, and when to act."""

    code: str
    name: str
    building: str
    grade: str
    as_of: date | None
    matters: tuple[Mapping[str, Any], ...]
    gaps: tuple[Mapping[str, Any], ...]
    checks: Mapping[str, Any]
    forecast: Mapping[str, Any] | None
    cautions: tuple[str, ...]


def of_portfolio(*, office: Client) -> list[MachineFound]:
    """Return what was found on every machine, most urgent first."""
    buildings = {row["id"]: row["name"] for row in office.list("/api/v1/buildings")}
    found = [
        of_machine(
            machine=machine,
            building=buildings[machine["building"]],
            condition=office.get(f"/api/v1/machines/{machine['id']}/condition"),
        )
        for machine in office.list("/api/v1/machines")
    ]
    return sorted(found, key=lambda one: (rank(one.grade), one.code))


def of_machine(
    *, machine: Mapping[str, Any], building: str, condition: Mapping[str, Any]
) -> MachineFound:
    """Return what was found on one machine."""
    findings: Sequence[Mapping[str, Any]] = condition["findings"]
    return MachineFound(
        code=machine["code"],
        name=machine["name"],
        building=building,
        grade=condition["grade"] or "NOT_ASSESSED",
        as_of=_day(condition["as_of"]),
        matters=_worst_of_each_topic(findings),
        checks=condition["checks"] or {},
        gaps=tuple(f for f in findings if f["grade"] == "NOT_ASSESSED"),
        forecast=_earliest(condition["forecasts"]),
        cautions=tuple(condition["cautions"]),
    )


def rank(grade: str) -> int:
    """Return the place of a grade in the order of urgency, 0 the most urgent."""
    return MOST_URGENT_FIRST.index(grade)


def _worst_of_each_topic(
    findings: Sequence[Mapping[str, Any]],
) -> tuple[Mapping[str, Any], ...]:
    """Return the open findings, of each topic the worst place only."""
    worst: dict[str, Mapping[str, Any]] = {}
    for finding in findings:
        if finding["grade"] in QUIET:
            continue
        known = worst.get(finding["topic"])
        if known is None or _urgency(finding) < _urgency(known):
            worst[finding["topic"]] = finding
    return tuple(sorted(worst.values(), key=_urgency))


def _urgency(finding: Mapping[str, Any]) -> tuple[int, float]:
    margin, limit = finding["margin"], finding["limit"]
    nearness = 0.0 if margin is None else margin / abs(limit or 1.0)
    return rank(finding["grade"]), nearness


def _day(instant: str | None) -> date | None:
    return datetime.fromisoformat(instant).date() if instant else None


def _earliest(forecasts: Sequence[Mapping[str, Any]]) -> Mapping[str, Any] | None:
    dated = [f for f in forecasts if f["plan_before_on"] is not None]
    return min(dated, key=lambda f: f["plan_before_on"], default=None)
