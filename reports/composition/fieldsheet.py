"""The field sheet of a machine: what to measure, in order, within a time."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.utils.translation import gettext as _

from fleet.platform.database.tenancy import Scope
from inspections import worklist
from inspections.inputs import Snapshot
from inspections.models import Finding, Grade, VisitKind
from inspections.worklist import ListedStep, Worklist
from reports import content, queries
from reports.composition import boxes, cautions, words
from reports.composition.description import description
from reports.composition.masthead import (
    masthead,
    place_of_building,
    reader_of,
    versions,
)
from reports.composition.wording import wording
from reports.models import Report
from reports.queries import MachineRecord

USUAL_MINUTES = 30
_OPEN = (Grade.ACT_NOW, Grade.PLAN_WORK)


def field_sheet(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.FieldSheet:
    """Return the sheet of the report's machine: what is due now, within the time."""
    facts = queries.facts_of_machine(
        scope=scope, machine_id=report.machine_id, as_of=issued_at
    )
    machine = facts.machine
    reader = reader_of(report, [machine.building])
    listed = worklist.worklist(
        scope=scope,
        machine_id=machine.pk,
        visit=VisitKind.ROUTINE,
        minutes=report.minutes or USUAL_MINUTES,
        as_of=issued_at,
    )
    return content.FieldSheet(
        masthead=masthead(
            report,
            reader=reader,
            issued_at=issued_at,
            kind=_("Field sheet"),
            title=_("Visit to %(machine)s") % {"machine": machine.code},
            place=place_of_building(machine.building),
            versions=versions([facts]),
        ),
        wording=wording(),
        machine_code=machine.code,
        machine_name=machine.name,
        qr_text=machine.code,
        time_budget=_("%(used)s of %(all)s minutes")
        % {"used": listed.minutes_planned, "all": listed.minutes},
        description=(
            *_stop(facts.findings),
            *_open(facts),
            *_marks(facts.snapshot),
            *description(facts.snapshot, reader=reader),
            *_left_out(listed.left_out),
            *_other_visits(listed),
        ),
        steps=tuple(
            step
            for one in listed.steps
            for step in boxes.steps_of(one, snapshot=facts.snapshot, reader=reader)
        ),
    )


def _stop(found: Sequence[Finding]) -> Iterator[content.Row]:
    """Yield what takes the machine out of service, before all else."""
    topics = dict.fromkeys(words.topic(f.topic).what for f in found if f.stops_service)
    if topics:
        yield content.Row(
            label=_("Out of service"), value=f"{'; '.join(topics)}. {cautions.stop()}"
        )


def _open(facts: MachineRecord) -> Iterator[content.Row]:
    """Yield what is known to be wrong, before anything is touched."""
    topics = dict.fromkeys(
        words.topic(f.topic).what for f in facts.findings if f.grade in _OPEN
    )
    if topics:
        yield content.Row(label=_("Open findings"), value="; ".join(topics))


def _marks(snapshot: Snapshot) -> Iterator[content.Row]:
    """Yield how mark A and groove 1 are told."""
    if snapshot.sheave is not None and snapshot.sheave.datum_mark:
        yield content.Row(label=_("Marks"), value=snapshot.sheave.datum_mark)
    first = snapshot.grooves[0] if snapshot.grooves else None
    if first is not None and first.mark:
        yield content.Row(label=_("Groove 1"), value=first.mark)


def _left_out(steps: Sequence[ListedStep]) -> Iterator[content.Row]:
    """Yield what is due and finds no room in the time."""
    named = [
        _("%(what)s (%(minutes)s min)")
        % {"what": boxes.kinds_of(step), "minutes": step.minutes}
        for step in steps
    ]
    if named:
        yield content.Row(label=_("Not within this time"), value="; ".join(named))


def _other_visits(listed: Worklist) -> Iterator[content.Row]:
    """Yield the visits of other kinds that are due as well."""
    named = [
        _("%(what)s (%(minutes)s min)")
        % {"what": words.said(VisitKind(one.visit).label), "minutes": one.minutes}
        for one in listed.other_visits
    ]
    if named:
        yield content.Row(label=_("Due as visits of their own"), value="; ".join(named))
