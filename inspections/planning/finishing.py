"""Planned work that was done: what was found beside what was planned, what follows.

Nothing keeps a report of work from being taken. What it could not prove is planned as a
measurement; new ropes bring about a second setting of their tensions.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import F

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.register.choices import WorkKind
from inspections import inputs, options
from inspections.models import PlannedWork, PlanState
from inspections.options import saying
from inspections.planning import choosing, found, kinds, steps
from inspections.planning.found import WorkDone
from inspections.planning.problems import NotOffered
from inspections.reasons import Code, Term, because

# About a month after new ropes, so long as the set still settles; common practice.
_RETENSION_SPREAD = timedelta(days=14)
# Read as left within this time, or it is no longer the state that was left; our rule.
_MEASURE_WITHIN = timedelta(days=60)


def named(
    *, scope: Scope, machine: Machine, pk: int | None, kind: str
) -> PlannedWork | None:
    """Return the planned work that a report names, locked. Raises NotOffered."""
    if pk is None:
        return None
    rows = PlannedWork.objects.within(scope).filter(pk=pk, machine=machine)
    row: PlannedWork | None = rows.select_for_update(of=("self",)).first()
    if row is None:
        raise NotOffered(
            f"machine {machine.code} has no planned work {pk}", pointer="/planned_work"
        )
    if not row.is_open:
        raise NotOffered(
            f"planned work {pk} is {row.get_state_display()} already",
            pointer="/planned_work",
        )
    wanted = kinds.REPORTED_AS.get(row.kind)
    if wanted != kind:
        how = (
            f"is reported as {WorkKind(wanted).label}"
            if wanted
            else ("is not reported as work")
        )
        raise NotOffered(
            f"planned work {pk} is to {kinds.WORDS[row.kind]}, which {how}, not as "
            f"{WorkKind(kind).label}",
            pointer="/planned_work",
        )
    return row


def finish(
    *,
    scope: Scope,
    machine: Machine,
    planned: PlannedWork | None,
    done: WorkDone,
    now: datetime,
) -> list[PlannedWork]:
    """Close planned work with what was found, and plan what follows from the work."""
    lacking = list(found.lacking(done))
    if planned is not None:
        _close(scope, planned, done, lacking)
    follow_ups = list(_follow_ups(scope, machine, planned, done, lacking, now))
    if planned is not None or follow_ups:
        options.due.refresh(scope=scope, machine_ids=[machine.pk])
    return follow_ups


def as_json(
    planned: PlannedWork | None, follow_ups: Sequence[PlannedWork]
) -> dict[str, Any]:
    """Return what a report's answer says of plans."""
    return {
        "planned_work": planned.pk if planned else None,
        "follow_ups": [
            {
                "id": row.pk,
                "kind": row.kind,
                "words": kinds.WORDS[row.kind],
                "window_from_on": _text(row.window_from_on),
                "due_before_on": _text(row.due_before_on),
            }
            for row in follow_ups
        ],
    }


def _close(
    scope: Scope, planned: PlannedWork, done: WorkDone, lacking: Sequence[Term]
) -> None:
    said = {
        "kind": done.kind,
        "done_on": done.done_on.isoformat(),
        "compared": list(found.compared(planned, done)),
        "as_left": {
            kind: [{"number": number, "value": value} for number, value in values]
            for kind, values in done.readings.items()
        },
        **saying.items("lacking", lacking),
    }
    rows = PlannedWork.objects.within(scope).filter(pk=planned.pk)
    rows.update(
        state=PlanState.DONE,
        done_on=done.done_on,
        works=list(done.works),
        found=said,
        version=F("version") + 1,
    )
    planned.refresh_from_db()
    what = because(Code.PLAN_REPORTED_DONE, day=done.done_on)
    if lacking:
        what = what.with_also(because(Code.PLAN_NOT_PROVEN, items=tuple(lacking)))
    steps.note(planned, by=scope.membership_id, what=what)


def _follow_ups(
    scope: Scope,
    machine: Machine,
    planned: PlannedWork | None,
    done: WorkDone,
    lacking: Sequence[Term],
    now: datetime,
) -> Iterator[PlannedWork]:
    """Yield the work that follows; what lies wholly in the past is not planned."""
    today = now.date()
    if machine.retired_on is not None:
        return
    if done.rope_set is not None and done.rope_set.retired_on is None:
        days = inputs.standing_terms(scope=scope).thresholds.value(
            "retension_after_days"
        )
        middle = done.done_on + timedelta(days=round(days))
        window = (middle - _RETENSION_SPREAD, middle + _RETENSION_SPREAD)
        if window[1] >= today:
            row = choosing.follow_up(
                scope=scope,
                machine=machine,
                kind=kinds.RETENSION,
                window=window,
                after=planned,
                why=because(Code.AGAIN_AFTER_NEW_ROPES, days=days),
                now=now,
            )
            yield from [row] if row else []
    until = done.done_on + _MEASURE_WITHIN
    if planned is not None and lacking and until >= today:
        row = choosing.follow_up(
            scope=scope,
            machine=machine,
            kind=kinds.MEASURE_AS_LEFT,
            window=(done.done_on, until),
            after=planned,
            why=because(Code.NOT_READ_AS_LEFT, items=tuple(lacking)),
            now=now,
        )
        yield from [row] if row else []


def _text(day: date | None) -> str | None:
    return day.isoformat() if day else None
