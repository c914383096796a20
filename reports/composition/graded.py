"""What stands of one machine: its findings by weight, its first limit, its grade."""

from datetime import date

from inspections import condition
from inspections.models import Finding, Forecast, Grade
from reports.composition import findings
from reports.queries import MachineRecord


def urgent(facts: MachineRecord) -> list[Finding]:
    """Return the findings that ask for work, most urgent first."""
    asking = [f for f in facts.findings if f.grade in (Grade.ACT_NOW, Grade.PLAN_WORK)]
    return sorted(asking, key=lambda f: (findings.ORDER[Grade(f.grade)], f.pk))


def past(facts: MachineRecord) -> list[Finding]:
    """Return the findings beyond a limit, those to act on first."""
    found = [
        f
        for f in facts.findings
        if findings.is_past(f) and not findings.is_within_scatter(f)
    ]
    return sorted(found, key=lambda f: (findings.ORDER[Grade(f.grade)], f.pk))


def within_scatter(facts: MachineRecord) -> list[Finding]:
    """Return the findings beyond a limit by less than their gauges can tell."""
    return [f for f in facts.findings if findings.is_within_scatter(f)]


def first_limit(facts: MachineRecord) -> Forecast | None:
    """Return the forecast whose planning date comes first."""
    return condition.first_limit(facts.forecasts)


def grade_of(facts: MachineRecord, *, today: date) -> str:
    """Return the machine's grade by findings, forecasts and what stops it."""
    if facts.stops:
        return Grade.ACT_NOW
    return condition.grade_of(
        assessment=facts.assessment, forecasts=facts.forecasts, today=today
    )
