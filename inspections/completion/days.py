"""The day of the work against the machine's own days and other reports."""

from datetime import date, datetime

from fleet.models import Machine, Work
from fleet.platform.database.tenancy import Scope
from fleet.register.choices import WorkKind
from inspections.completion import periods
from inspections.completion.problems import NotTaken, WorkConflict
from inspections.completion.report import WorkReport


def check(
    *, scope: Scope, machine: Machine, report: WorkReport, received_at: datetime
) -> None:
    """Raise NotTaken or WorkConflict where the day cannot be."""
    today = periods.day_of(received_at, machine=machine)
    why = _why_not(machine, report.done_on, today)
    if why:
        raise NotTaken(why, pointer="/done_on", code="not-that-day")
    same = Work.objects.within(scope).filter(
        machine=machine, kind=report.kind, done_on=report.done_on
    )
    if same.exists():
        raise WorkConflict(
            f"{WorkKind(report.kind).label} on {report.done_on} is reported already",
            pointer="/done_on",
            code="reported-already",
        )


def _why_not(machine: Machine, day: date, today: date) -> str:
    if day > today:
        return f"{day} lies in the future; work is reported when it is done"
    if machine.installed_on is not None and day < machine.installed_on:
        return f"the machine was installed on {machine.installed_on}, after {day}"
    if machine.retired_on is not None and day >= machine.retired_on:
        return f"the machine was retired on {machine.retired_on}"
    return ""
