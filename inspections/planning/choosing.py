"""Someone of the office picks an option: it becomes planned work with a due window."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections import options
from inspections.decisions.records import (
    OptionKind,
    Possible,
    RegrooveOrder,
    SourcedReason,
)
from inspections.models import (
    OPEN_STATES,
    OptionSet,
    PlannedWork,
    PlanState,
    Scenario,
)
from inspections.options import live, saying
from inspections.planning import kinds, steps
from inspections.planning.problems import NotOffered, NotThisWay
from inspections.reasons import Code, Reason, because
from inspections.scenarios import into_order, into_work
from inspections.scenarios.into_order import OrderAsTried


@dataclass(frozen=True, slots=True, kw_only=True)
class PickedOption:
    """What was picked; days that are not given are the option's own.

    `although` says why an option is taken that would not help as things stand;
    `scenario` is the id of the one that it is planned from.
    """

    kind: str
    window_from_on: date | None = None
    due_before_on: date | None = None
    note: str = ""
    although: str = ""
    scenario: int | None = None


@transaction.atomic
def choose(
    *, scope: Scope, machine_id: int, choice: PickedOption, now: datetime
) -> PlannedWork:
    """Store an option of a machine as planned work.

    The option is kept as it stood, and what was tried with the scenario that it is
    planned from. Raises NotFound, NotOffered, NotThisWay, what a scenario raises, and
    IntegrityError where the same kind is planned already.
    """
    machine = _locked(scope, machine_id)
    option_set = OptionSet.objects.within(scope).filter(machine=machine).first()
    scenario = _scenario(scope, machine, choice)
    option = _option(option_set, choice, tried=_tried(scope, scenario, choice, now))
    window = _window(option, choice, now.date())
    row: PlannedWork = PlannedWork.objects.create(
        contractor_id=scope.contractor_id,
        machine=machine,
        kind=choice.kind,
        chosen_by=scope.membership_id,
        chosen_at=now,
        note=choice.note,
        planned=_as_chosen(option_set, option, scenario),
        order_by_on=option["order_by_on"],
        **window,
    )
    steps.note(row, by=scope.membership_id, what=_chosen(choice))
    options.due.refresh(scope=scope, machine_ids=[machine.pk])
    row.refresh_from_db()
    return row


def _chosen(choice: PickedOption) -> Reason:
    work = kinds.TERMS[choice.kind]
    if choice.although:
        return because(Code.PLAN_CHOSEN_ALTHOUGH, work=work, why=choice.although)
    return because(Code.PLAN_CHOSEN, work=work)


def _locked(scope: Scope, machine_id: int) -> Machine:
    rows = Machine.objects.within(scope).filter(pk=machine_id)
    machine: Machine | None = rows.select_for_update(of=("self",)).first()
    if machine is None:
        raise NotFound
    return machine


def _scenario(scope: Scope, machine: Machine, choice: PickedOption) -> Scenario | None:
    """Return the scenario that is planned from. Raises NotThisWay."""
    if choice.scenario is None:
        return None
    row = into_work.of_machine(
        scope=scope, machine_id=machine.pk, scenario_id=choice.scenario
    )
    if row is None:
        raise NotThisWay("the machine has no such scenario", pointer="/scenario")
    if not into_work.does(row, choice.kind):
        raise NotThisWay(
            "this kind of work does not do what was tried", pointer="/option"
        )
    return row


def _tried(
    scope: Scope, scenario: Scenario | None, choice: PickedOption, now: datetime
) -> OrderAsTried | None:
    """Return what an order of the grooves as tried rests on; None without a cut."""
    if scenario is None or not OptionKind(choice.kind).is_cut:
        return None
    known = live.look(scope=scope, machine_id=scenario.machine_id, as_of=now)
    return into_order.order_as_tried(
        scope=scope,
        machine_id=scenario.machine_id,
        changes=scenario.changes,
        known=known,
        now=now,
    )


def _option(
    option_set: OptionSet | None, choice: PickedOption, *, tried: OrderAsTried | None
) -> Mapping[str, Any]:
    """Return the option of this kind. Raises NotOffered, NotThisWay.

    Other grooves than those of now are held against their own order: what a cut like
    the last one would not mend, they may. Whether it would help is asked of them too.
    """
    found: Mapping[str, Any] | None = next(
        (
            each
            for each in (option_set.options if option_set else ())
            if each["kind"] == choice.kind
        ),
        None,
    )
    if found is None:
        none = because(Code.NOT_WORKED_OUT)
        raise NotOffered(str(none), said=none, pointer="/option")
    why_not = _why_not(found)
    doubts = saying.reasons_of(found, "pointless_because")
    if tried is not None:
        why_not = _why_not_tried(found, tried.order(OptionKind(choice.kind)))
        doubts = tried.pointless(found)
    if why_not is not None:
        raise NotOffered(str(why_not), said=why_not, pointer="/option")
    if doubts and not choice.although:
        why = because(Code.CHOICE_POINTLESS, items=doubts)
        raise NotThisWay(
            f"{why}. Say in `although` why it is chosen all the same",
            said=why,
            pointer="/although",
        )
    return found if tried is None else tried.option(found)


def _why_not_tried(option: Mapping[str, Any], tried: RegrooveOrder) -> Reason | None:
    blocked = saying.reasons_of(option, "blocked_because")
    if blocked:
        return because(Code.CHOICE_BLOCKED, items=blocked)
    against = tuple(
        each.said for each in tried.because if each.said.code is not Code.ORDER_LACKS
    )
    return because(Code.CHOICE_IMPOSSIBLE, items=against) if against else None


def _why_not(option: Mapping[str, Any]) -> Reason | None:
    """Return why an option cannot be chosen at all, None if it can."""
    blocked = saying.reasons_of(option, "blocked_because")
    if blocked:
        return because(Code.CHOICE_BLOCKED, items=blocked)
    if option["possible"] == Possible.NO:
        reasons = saying.reasons_of(option, "reasons")
        return because(Code.CHOICE_IMPOSSIBLE, items=reasons)
    if option["out_of_service"] and option["kind"] == OptionKind.WATCH:
        return because(Code.CHOICE_WATCHES_STOP)
    return None


def _window(
    option: Mapping[str, Any], choice: PickedOption, today: date
) -> dict[str, date | None]:
    """Return the days of the work: as given, else the option's own. Raises NotThisWay.

    It can begin when the parts are there.
    """
    due = choice.due_before_on or _day(option["plan_before_on"])
    due = due or _day(option["next_reading_on"])
    begin = choice.window_from_on
    if begin is None and option["lead_days"] is not None:
        ready = today + timedelta(days=int(option["lead_days"]))
        begin = ready if due is None or ready <= due else None
    if begin is not None and due is not None and due < begin:
        raise NotThisWay(
            f"due_before_on is {due}; it must not come before {begin}",
            pointer="/due_before_on",
        )
    return {"window_from_on": begin, "due_before_on": due}


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _as_chosen(
    option_set: OptionSet | None,
    option: Mapping[str, Any],
    scenario: Scenario | None,
) -> dict[str, Any]:
    """Return the option as it stood, on what it was worked out, and what was tried."""
    tried = {} if scenario is None else {"scenario": into_work.kept(scenario)}
    if option_set is None:
        return {**option, **tried}
    return {
        **option,
        **tried,
        "worked_out": {
            "as_of": option_set.as_of.isoformat(),
            "version": option_set.version,
            "rules_version": option_set.rules_version,
            "inputs_digest": option_set.inputs_digest,
            "terms": option_set.terms,
            "assessment": option_set.facts.get("assessment"),
        },
    }


def follow_up(
    *,
    scope: Scope,
    machine: Machine,
    kind: str,
    window: tuple[date, date],
    after: PlannedWork | None,
    why: Reason,
    now: datetime,
) -> PlannedWork | None:
    """Plan work that other work has brought about; None where it is planned already."""
    already = PlannedWork.objects.within(scope).filter(
        machine=machine, kind=kind, state__in=OPEN_STATES
    )
    if already.exists():
        return None
    row: PlannedWork = PlannedWork.objects.create(
        contractor_id=scope.contractor_id,
        machine=machine,
        kind=kind,
        state=PlanState.PLANNED,
        chosen_by=scope.membership_id,
        chosen_at=now,
        window_from_on=window[0],
        due_before_on=window[1],
        follows=after,
        planned={"kind": kind, "reasons": saying.reasons([SourcedReason(said=why)])},
    )
    steps.note(row, by=scope.membership_id, what=why)
    return row
