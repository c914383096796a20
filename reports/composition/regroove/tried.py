"""Which grooves an order is for: those of the register, or those of a scenario."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError
from inspections.decisions import regroove_order
from inspections.decisions.records import OptionKind, RegrooveOrder
from inspections.engineering.cut import CutPlan
from inspections.inputs import Snapshot
from inspections.options.live import Live
from inspections.scenarios import into_order
from inspections.scenarios.into_order import OrderAsTried
from reports import content
from reports.composition import words
from reports.composition.reader import Reader
from reports.queries import MachineRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedOrder:
    """What is ordered: `then` is the machine with the grooves that are to be cut.

    `against` and `rows` are what the sheet says of the scenario that was planned from.
    """

    order: RegrooveOrder
    plan: CutPlan | None
    then: Snapshot
    against: tuple[str, ...] = ()
    rows: tuple[content.Row, ...] = ()


def asked(
    facts: MachineRecord,
    found: Live,
    kind: OptionKind,
    *,
    scope: Scope,
    now: datetime,
    reader: Reader,
) -> AskedOrder:
    """Return the order as the cut was planned; as the grooves are by default.

    A scenario that can no longer be worked out is told and stands against the order:
    other grooves than those that were planned are never ordered instead.
    """
    kept = _kept(facts, kind)
    if kept is None:
        return _as_it_is(facts, found, kind)
    try:
        tried = into_order.order_as_tried(
            scope=scope,
            machine_id=facts.machine.pk,
            changes=kept.get("changes", {}),
            known=found,
            now=now,
        )
    except DomainError as error:
        as_it_is = _as_it_is(facts, found, kind)
        lost = _(
            "The scenario that was planned from can no longer be worked out for this "
            "machine (%(why)s): what stands below are the grooves as registered, which "
            "nobody has planned to cut."
        ) % {"why": words.as_entered(str(error))}
        return replace(
            as_it_is,
            order=replace(as_it_is.order, may_be_placed=False),
            against=(lost,),
            rows=_rows(kept, ()),
        )
    return AskedOrder(
        order=tried.order(kind),
        plan=tried.plan(),
        then=tried.then,
        rows=_rows(kept, _besides(tried)),
    )


def _kept(facts: MachineRecord, kind: OptionKind) -> dict[str, Any] | None:
    """Return the scenario that the planned cut was planned from."""
    found = next((row for row in facts.planned if row.kind == str(kind)), None)
    kept = found.planned.get("scenario") if found is not None else None
    return kept if isinstance(kept, dict) else None


def _as_it_is(facts: MachineRecord, found: Live, kind: OptionKind) -> AskedOrder:
    return AskedOrder(
        order=regroove_order.draw_up(
            facts=found.facts,
            drawing=found.drawing,
            thresholds=found.terms.thresholds,
            kind=kind,
        ),
        plan=next((o.cut for o in found.options if o.kind is kind), None),
        then=facts.snapshot,
    )


def _besides(tried: OrderAsTried) -> tuple[content.Row, ...]:
    if not tried.besides:
        return ()
    return (
        content.Row(
            label=_("Only together with"),
            value=_(
                "%(changes)s. Without them the grooves are not to be cut like this."
            )
            % {"changes": "; ".join(tried.besides)},
        ),
    )


def _rows(
    kept: dict[str, Any], more: tuple[content.Row, ...]
) -> tuple[content.Row, ...]:
    named = words.as_entered(str(kept.get("name", "")))
    return (content.Row(label=_("As tried in the scenario"), value=named), *more)
