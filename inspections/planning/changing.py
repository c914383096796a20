"""Planned work on its way: ordered, moved, dropped; done by the report of the work."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from fleet.platform.database.tenancy import Scope
from inspections import options
from inspections.models import PlannedWork, PlanState
from inspections.planning import kinds, steps
from inspections.planning.problems import NotOpen, NotThisWay
from inspections.reasons import Code, Reason, Term, because, note, together

_DAYS = {
    "window_from_on": Term.PLAN_WINDOW_FROM,
    "due_before_on": Term.PLAN_DUE_BEFORE,
    "order_by_on": Term.PLAN_ORDER_BY,
}
STATES = {
    PlanState.PLANNED: Term.PLAN_PLANNED,
    PlanState.ORDERED: Term.PLAN_ORDERED,
    PlanState.DONE: Term.PLAN_DONE,
    PlanState.DROPPED: Term.PLAN_DROPPED,
}


@transaction.atomic
def change(
    *,
    scope: Scope,
    row: PlannedWork,
    changes: Mapping[str, Any],
    words: str,
    now: datetime,
) -> PlannedWork:
    """Change the state, days or note of planned work, with a step that says so.

    `row` is locked by the caller. Raises NotOpen, NotThisWay.
    """
    if not row.is_open:
        raise NotOpen(
            f"it is {row.get_state_display()} already; choose an option anew",
            pointer="/state",
        )
    state = changes.get("state", row.state)
    _check_state(row, state, words)
    fields = {name: changes[name] for name in (*_DAYS, "note") if name in changes}
    _check_days(row, fields)
    if state == PlanState.DONE:
        fields["done_on"] = now.date()
    rows = PlannedWork.objects.within(scope).filter(pk=row.pk)
    rows.update(state=state, version=F("version") + 1, **fields)
    row.refresh_from_db()
    steps.note(
        row, by=scope.membership_id, what=note(words) if words else _what(changes)
    )
    options.due.refresh(scope=scope, machine_ids=[row.machine_id])
    return row


def _check_state(row: PlannedWork, state: str, words: str) -> None:
    if state == PlanState.DROPPED and not words:
        raise NotThisWay("say in `words` why it is dropped", pointer="/words")
    if state == PlanState.DONE and row.kind in kinds.REPORTED_AS:
        raise NotThisWay(
            "work is done when it is reported, at the machine, naming this planned "
            "work: what was left has to be read",
            pointer="/state",
        )
    if state == PlanState.DONE and not words:
        raise NotThisWay("say in `words` what came of it", pointer="/words")


def _check_days(row: PlannedWork, fields: Mapping[str, Any]) -> None:
    begin: date | None = fields.get("window_from_on", row.window_from_on)
    due: date | None = fields.get("due_before_on", row.due_before_on)
    if begin is not None and due is not None and due < begin:
        raise NotThisWay(
            f"due_before_on is {due}; it must not come before {begin}",
            pointer="/due_before_on",
        )


def _what(changes: Mapping[str, Any]) -> Reason:
    """Return what was changed, as a reason for each."""
    said = together(_changed(name, value) for name, value in changes.items())
    return because(Code.PLAN_UNCHANGED) if said is None else said


def _changed(name: str, value: Any) -> Reason:
    if name == "note":
        # Not everyone who reads the steps may read the note.
        return because(Code.PLAN_OTHER_NOTE)
    if name == "state":
        return because(Code.PLAN_STATE, state=STATES[PlanState(value)])
    if value is None:
        return because(Code.PLAN_NO_DAY, what=_DAYS[name])
    return because(Code.PLAN_DAY, what=_DAYS[name], day=value)
