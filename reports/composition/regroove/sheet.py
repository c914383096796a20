"""The sheet of a regroove order: what a shop needs, and what it has to give back."""

from datetime import datetime

from django.utils.translation import gettext as _

from fleet.platform.database.tenancy import Scope
from inspections.decisions.records import OptionKind, RegrooveOrder
from inspections.engineering.verdict import Item
from inspections.options import live
from inspections.options.live import Live
from inspections.reasons import Code, Reason, Term
from reports import content, queries
from reports.composition import reasons
from reports.composition.decided import spoken
from reports.composition.description import description
from reports.composition.masthead import (
    masthead,
    place_of_building,
    reader_of,
    versions,
)
from reports.composition.reader import Reader
from reports.composition.regroove import around, lines, section, template, tried
from reports.composition.wording import wording
from reports.models import Report
from reports.queries import MachineRecord


def regroove_sheet(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.RegrooveSheet:
    """Return the sheet of the report's machine, for the cut planned or first in order.

    Nothing that is missing is filled in; it is named.
    """
    facts = queries.facts_of_machine(
        scope=scope, machine_id=report.machine_id, as_of=issued_at
    )
    found = live.look(scope=scope, machine_id=facts.machine.pk, as_of=issued_at)
    machine, kind = facts.machine, kind_of_cut(facts, found)
    reader = reader_of(report, [machine.building])
    asked = tried.asked(facts, found, kind, scope=scope, now=issued_at, reader=reader)
    order, plan, then = asked.order, asked.plan, asked.then
    return content.RegrooveSheet(
        masthead=masthead(
            report,
            reader=reader,
            issued_at=issued_at,
            kind=_("Regroove order"),
            title=_("Grooves of %(machine)s, to be turned") % {"machine": machine.code},
            place=place_of_building(machine.building),
            versions=versions([facts]),
        ),
        wording=wording(),
        machine_code=machine.code,
        machine_name=machine.name,
        may_be_placed=order.may_be_placed,
        headline=_headline(order),
        because=(*asked.against, *_against(order, reader=reader)),
        not_known=spoken.gathered(_missing(order), reader=reader),
        description=(*_description(facts, kind, reader=reader), *asked.rows),
        cut=lines.cut(
            order,
            around.rows(
                facts.snapshot, order, found.drawing, plan, then=then, reader=reader
            ),
            reader=reader,
        ),
        grooves=lines.grooves(order, reader=reader),
        section=section.to_turn(facts.snapshot, plan, then=then, reader=reader),
        template=template.at_true_size(
            facts.snapshot, plan, order, found.drawing, then=then, reader=reader
        ),
        before_turning=lines.steps(
            order.before_turning, title=_("Before the first cut"), reader=reader
        ),
        after_turning=lines.steps(
            order.after_turning, title=_("To measure after turning"), reader=reader
        ),
        sign=_sign(),
        cautions=tuple(reasons.say(each, reader=reader) for each in order.cautions),
    )


def _against(order: RegrooveOrder, *, reader: Reader) -> tuple[str, ...]:
    """Return what stands against the order; what is missing is said by itself."""
    return tuple(
        reasons.say(reason.said, reader=reader)
        for reason in order.because
        if reason.said.code is not Code.ORDER_LACKS
    )


def _missing(order: RegrooveOrder) -> tuple[Item, ...]:
    """Return what is missing, less what the table of grooves knows.

    Where a groove's seat is known, its metal is what is not, and the rim says so.
    """
    seen = {g.number for g in order.grooves if g.seat_depth_mm is not None}
    return tuple(
        item
        for item in order.missing
        if not (
            isinstance(item, Reason)
            and item.code is Code.METAL_OR_SEAT_OF_GROOVE
            and item.get("groove") in seen
            and Term.METAL_OF_RIM in order.missing
        )
    )


def kind_of_cut(facts: MachineRecord, found: Live) -> OptionKind:
    """Return the cut that is planned, else the one that stands first in order."""
    cuts = [str(kind) for kind in OptionKind if kind.is_cut]
    planned = [row.kind for row in facts.planned if row.kind in cuts]
    if planned:
        return OptionKind(planned[0])
    ranked = [option.kind for option in found.options if option.kind.is_cut]
    return ranked[0] if ranked else OptionKind.REGROOVE_IN_SHOP


def _headline(order: RegrooveOrder) -> str:
    if order.may_be_placed:
        return _(
            "By register and readings nothing stands against this order. It is worked "
            "out, not inspected: the shop checks every value on the sheave before the "
            "first cut."
        )
    return _("This order may not be placed yet. What stands against it is said below.")


def _description(
    facts: MachineRecord, kind: OptionKind, *, reader: Reader
) -> tuple[content.Row, ...]:
    wanted = {_("Sheave"), _("Groove"), _("Groove as new"), _("Ropes"), _("Last work")}
    wanted.add(_("Last reading"))
    name = spoken.kind(kind, reader=reader)
    return (
        content.Row(label=_("Work"), value=name[:1].upper() + name[1:]),
        *(
            row
            for row in description(facts.snapshot, reader=reader)
            if row.label in wanted
        ),
    )


def _sign() -> content.Acceptance:
    return content.Acceptance(
        statement=_(
            "Filled in by the shop. What was found goes beside each line above; the "
            "sheave goes back only with this sheet."
        ),
        lines=tuple(
            content.Row(label=label, value="")
            for label in (
                _("Shop"),
                _("Turned by, on"),
                _("Measured by, with which gauges"),
                _("Date and signature"),
            )
        ),
    )
