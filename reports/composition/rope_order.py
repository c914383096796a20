"""The order of a rope set: the ropes as registered, hitches, what stands against it."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.utils.translation import gettext as _

from fleet.models import Rope, RopeSet, Work
from fleet.platform.database.tenancy import Scope
from fleet.register.choices import WorkKind
from inspections import inputs
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.records import Option, OptionKind
from inspections.inputs import Snapshot
from inspections.options import live
from inspections.reasons import Code, Topic
from reports import content, queries
from reports.composition import findings, reasons, required, words
from reports.composition.decided import spoken
from reports.composition.description import description
from reports.composition.masthead import (
    masthead,
    place_of_building,
    reader_of,
    versions,
)
from reports.composition.reader import Reader
from reports.composition.regroove import lines
from reports.composition.wording import wording
from reports.models import Report
from reports.queries import MachineRecord

# Of what is said of new ropes, what is done before and after they are fitted.
_STEPS = (Code.SET_RENEWED_WHOLE, Code.TENSIONS_SET_AGAIN)


def rope_order(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.RopeOrder:
    """Return the order of the report's machine: a set like the one that is fitted.

    Nothing that is missing is filled in; it is named.
    """
    facts = queries.facts_of_machine(
        scope=scope, machine_id=report.machine_id, as_of=issued_at
    )
    found = live.look(scope=scope, machine_id=facts.machine.pk, as_of=issued_at)
    machine, snapshot = facts.machine, facts.snapshot
    reader = reader_of(report, [machine.building])
    kind = _chosen(facts)
    option = next((o for o in found.options if o.kind is kind), None)
    against = tuple(_against(option, reader=reader))
    not_known = tuple(_not_known(snapshot, option, reader=reader))
    work = Work(kind=WorkKind.ROPING, done_on=issued_at.date())
    since = required.after([work])
    return content.RopeOrder(
        masthead=masthead(
            report,
            reader=reader,
            issued_at=issued_at,
            kind=_("Rope order"),
            title=_("Ropes of %(machine)s") % {"machine": machine.code},
            place=place_of_building(machine.building),
            versions=versions([facts]),
        ),
        wording=wording(),
        machine_code=machine.code,
        machine_name=machine.name,
        may_be_placed=not against and not not_known,
        headline=_headline(may_be_placed=not against and not not_known),
        because=against,
        not_known=not_known,
        description=(
            content.Row(label=_("Work"), value=spoken.kind(kind, reader=reader)),
            *_description(facts, reader=reader),
        ),
        to_order=_to_order(facts, reader=reader),
        ropes=_ropes(snapshot, reader=reader),
        before_fitting=lines.steps(
            [r for r in option.reasons if r.said.code in _STEPS] if option else (),
            title=_("Before the ropes are cut and fitted"),
            reader=reader,
        ),
        after_fitting=required.table(
            dict.fromkeys(since, ()), snapshot, since=since, reader=reader, people={}
        ),
        sign=_sign(),
        cautions=tuple(
            reasons.say(each, reader=reader)
            for each in (drafting.NOT_AN_ORDER, drafting.COMPETENT)
        ),
    )


def _chosen(facts: MachineRecord) -> OptionKind:
    """Return the open work that these ropes are for; re-roping where none is chosen."""
    for row in facts.planned:
        if row.is_open and row.kind in list(OptionKind):
            kind = OptionKind(row.kind)
            if kind.renews_ropes:
                return kind
    return OptionKind.RE_ROPE


def _headline(*, may_be_placed: bool) -> str:
    if may_be_placed:
        return _(
            "By register and readings nothing stands against this order. Lengths and "
            "hitches are checked on site before any rope is cut."
        )
    return _("This order may not be placed yet. What stands against it is said below.")


def _against(option: Option | None, *, reader: Reader) -> Iterator[str]:
    """Yield what blocks new ropes, or makes them pointless in these grooves."""
    if option is not None:
        for reason in (*option.blocked_because, *option.pointless_because):
            yield words.sentence(reasons.say(reason.said, reader=reader))


def _not_known(
    snapshot: Snapshot, option: Option | None, *, reader: Reader
) -> Iterator[str]:
    ropes = snapshot.rope_set
    if ropes is None:
        yield _("the rope set: none is registered")
        return
    for value, called in (
        (ropes.strand_class, _("construction of the rope")),
        (ropes.core, _("core of the rope")),
        (ropes.outer_grade_mpa, _("grade of the wires")),
        (ropes.breaking_force_kn, _("breaking force of one rope")),
        (ropes.length_m, _("length of a rope: to be measured on site")),
    ):
        if not value:
            yield called
    bare = [r for r in snapshot.ropes if not (r.car_hitch and r.counterweight_hitch)]
    if bare:
        yield _("hitches of ropes %(numbers)s") % {
            "numbers": ", ".join(str(rope.number) for rope in bare)
        }
    if option is not None:
        yield from spoken.gathered(option.measure_before, reader=reader)


def _description(facts: MachineRecord, *, reader: Reader) -> tuple[content.Row, ...]:
    wanted = {_("Drive"), _("Sheave"), _("Groove"), _("Groove as new"), _("Ropes")}
    wanted.add(_("Last work"))
    rows = description(facts.snapshot, reader=reader)
    return tuple(row for row in rows if row.label in wanted)


def _to_order(facts: MachineRecord, *, reader: Reader) -> content.Table:
    ropes = facts.snapshot.rope_set
    rows = tuple(_lines(facts, ropes, reader=reader)) if ropes is not None else ()
    return content.Table(
        title=_("What to order"),
        columns=(
            content.Column(heading=_("What"), share=2.0),
            content.Column(heading=_("Value"), share=1.8),
            content.Column(heading=_("Where it is from"), share=2.2),
            content.Column(heading=_("Offered"), share=1.2),
        ),
        rows=rows,
        note=_(
            "A whole set of one make and one reel. A dash is not known and has to be "
            "asked for or measured."
        ),
    )


def _lines(
    facts: MachineRecord, ropes: RopeSet, *, reader: Reader
) -> Iterator[tuple[str, str, str, str]]:
    register, dash = _("the register"), "–"
    grades = [ropes.outer_grade_mpa, ropes.inner_grade_mpa]
    force, core = ropes.breaking_force_kn, str(ropes.get_core_display())
    rows = (
        (_("Number of ropes"), str(ropes.ropes_count), register),
        (
            _("Nominal diameter of the ropes"),
            reader.rope_size(ropes.nominal_diameter_mm),
            register,
        ),
        (_("Construction"), ropes.strand_class or dash, register),
        (_("Core"), words.said(core) if ropes.core else dash, register),
        (
            _("Wire grade, outer / inner"),
            " / ".join(f"{grade} N/mm²" for grade in grades if grade) or dash,
            register,
        ),
        (
            _("Breaking force of one rope"),
            _("at least %(force)s") % {"force": reader.force(1000.0 * force)}
            if force
            else dash,
            _("certificate %(number)s")
            % {"number": words.as_entered(ropes.certificate)}
            if ropes.certificate
            else register,
        ),
        *_safety(facts, reader=reader),
        _length(facts.snapshot, reader=reader),
        (_("Hand and kind of lay"), dash, _("as the ropes that are fitted")),
    )
    return ((*row, "") for row in rows)


def _length(snapshot: Snapshot, *, reader: Reader) -> tuple[str, str, str]:
    """Return the length as measured; else as worked out, and that it is no measure."""
    length = inputs.rope_length_of(snapshot)
    if length is None or length.is_measured:
        return (
            _("Length from hitch to hitch"),
            reader.metres(length.metres) if length else "–",
            _("the register; measured again on site, with what is cut off for hitches"),
        )
    ends = (length.metres * (1.0 + sign * length.spread) for sign in (-1, 1))
    low, high = map(reader.metres, ends)
    return (
        _("Length from hitch to hitch, worked out and not measured"),
        _("%(low)s to %(high)s") % {"low": low, "high": high},
        _("travel, roping and wrap (our rule); measured before any rope is ordered"),
    )


def _safety(facts: MachineRecord, *, reader: Reader) -> Iterator[tuple[str, str, str]]:
    """Yield the safety factor that the ropes as registered have, and what is asked."""
    for finding in facts.findings:
        if finding.topic == Topic.SAFETY_FACTOR and finding.value is not None:
            shown = findings.figures(finding, reader=reader)
            yield (
                _("Safety factor with this breaking force"),
                _("%(value)s; at least %(limit)s")
                % {"value": shown["value"], "limit": shown["limit"]},
                words.said(finding.source),
            )


def _ropes(snapshot: Snapshot, *, reader: Reader) -> content.Table:
    return content.Table(
        title=_("Rope by rope"),
        columns=(
            content.Column(heading=_("Rope"), share=0.6),
            content.Column(heading=_("Runs in groove"), share=1.0),
            content.Column(heading=_("Hitch at the car"), share=1.8),
            content.Column(heading=_("Hitch at the counterweight"), share=1.8),
            content.Column(heading=_("Length to cut, measured"), share=1.4),
            content.Column(heading=_("Thread left after setting"), share=1.4),
        ),
        rows=tuple(_rope(snapshot, rope) for rope in snapshot.ropes),
        note=_(
            "Hitches as registered. The last two columns are filled in on site: what "
            "is needed at each hitch is the maker's to say."
        ),
    )


def _rope(snapshot: Snapshot, rope: Rope) -> tuple[str, ...]:
    numbers = [str(groove.number) for groove in snapshot.grooves_of(rope=rope)]
    return (
        str(rope.number),
        ", ".join(numbers) or "–",
        words.as_entered(rope.car_hitch) or "–",
        words.as_entered(rope.counterweight_hitch) or "–",
        "",
        "",
    )


def _sign() -> content.Acceptance:
    labels: Sequence[str] = (
        _("Supplier"),
        _("Certificate and reel"),
        _("Diameter as delivered, under which load"),
        _("Date and signature"),
    )
    return content.Acceptance(
        statement=_(
            "Filled in by the supplier. Ropes are fitted only with their certificate; "
            "its data go on the tag and into the register."
        ),
        lines=tuple(content.Row(label=label, value="") for label in labels),
    )
