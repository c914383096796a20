"""Compose a condition report: everything it says, frozen, nothing drawn."""

from collections.abc import Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from fleet.models import Building
from fleet.tenancy import Scope
from inspections.assessment.assess import KERNEL_VERSION
from inspections.forecasts.project import MODEL_VERSION
from reports import content, queries
from reports.composition import appendix, front, machine
from reports.composition.reader import Reader
from reports.models import Report, ReportState
from reports.queries import MachineFacts

CONTENT_VERSION = "1"


def compose(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.ConditionReport:
    """Return the content of a report, in its owner's units and on their paper."""
    buildings = queries.buildings_of(
        scope=scope, owner=report.owner, building=report.building
    )
    zone = ZoneInfo(buildings[0].time_zone if buildings else "UTC")
    reader = Reader(family=report.owner.unit_family, zone=zone)
    today = issued_at.astimezone(zone).date()
    facts = queries.facts_of(scope=scope, buildings=buildings, as_of=issued_at)
    return content.ConditionReport(
        masthead=_masthead(report, buildings, reader=reader, issued_at=issued_at),
        wording=content.Wording(),
        summary=front.summary(
            facts,
            reader=reader,
            today=today,
            changes=_changes(scope=scope, report=report, facts=facts, today=today),
        ),
        machines=tuple(machine.pages(f, reader=reader, today=today) for f in facts),
        criteria_sets=appendix.criteria_sets(f.snapshot.criteria for f in facts),
        glossary=tuple(
            content.Row(label=label, value=value) for label, value in appendix.GLOSSARY
        ),
        method=tuple(
            content.Row(label=label, value=value) for label, value in appendix.METHOD
        ),
    )


def _masthead(
    report: Report,
    buildings: Sequence[Building],
    *,
    reader: Reader,
    issued_at: datetime,
) -> content.Masthead:
    place = report.building.name if report.building else report.owner.name
    previous = report.supersedes
    lines = tuple(b.address or b.name for b in buildings)
    return content.Masthead(
        kind="Condition report",
        title=f"Drive sheaves and ropes: {place}",
        number=report.number,
        revision=report.revision,
        supersedes=(
            f"{previous.number} revision {previous.revision}" if previous else None
        ),
        issued_at=issued_at.astimezone(reader.zone),
        issued=reader.day(issued_at),
        period=f"{reader.day(report.period_start)} to {reader.day(report.period_end)}",
        contractor=content.Party(name=report.contractor.name),
        owner=content.Party(name=report.owner.name),
        place=content.Party(name=place, lines=lines),
        language="en",
        paper=content.Paper(report.owner.paper),
        deferral=appendix.DEFERRAL,
        released="Released by the contractor (not an inspection).",
        cautions=appendix.CAUTIONS,
        versions=(
            content.Row(label="Calculation", value=f"engineering {KERNEL_VERSION}"),
            content.Row(label="Forecast model", value=f"projection {MODEL_VERSION}"),
            content.Row(label="Content", value=f"form {CONTENT_VERSION}"),
        ),
    )


def _changes(
    *, scope: Scope, report: Report, facts: Sequence[MachineFacts], today: date
) -> tuple[str, ...]:
    """Return what changed since the last published report on the same place."""
    last = (
        Report.objects.within(scope)
        .filter(
            owner=report.owner, building=report.building, state=ReportState.PUBLISHED
        )
        .exclude(pk=report.pk)
        .order_by("-issued_at")
        .first()
    )
    if last is None or last.content is None:
        return ("This is the first report on this place.",)
    frozen = content.from_plain(last.content)
    if not isinstance(frozen, content.ConditionReport):
        return (f"Report {last.number} was of another kind.",)
    before = {page.code: page.grade for page in frozen.machines}
    wording = content.Wording()
    lines = []
    for one in facts:
        code = one.machine.code
        now = machine.grade_of(one, today=today)
        was = before.get(code)
        if was is None:
            lines.append(f"{code} was added.")
        elif was != now:
            lines.append(
                f"{code}: {wording.of_grade(was)} → "
                f"{wording.of_grade(content.Grade(now))}."
            )
    return tuple(lines) or (f"No grade has changed since report {last.number}.",)
