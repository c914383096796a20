"""The field sheet of a machine: what to measure, in order, within a time."""

from collections.abc import Iterator
from datetime import datetime

from django.utils.translation import gettext as _

from fleet.tenancy import Scope
from inspections.inputs import Snapshot
from inspections.kinds import KINDS
from inspections.models import Finding, Grade, Reading
from reports import content, queries
from reports.composition import findings, words
from reports.composition.description import description
from reports.composition.masthead import masthead, reader_of, versions
from reports.composition.reader import Reader
from reports.composition.steps import Step, steps_for, within
from reports.composition.wording import wording
from reports.models import Report
from reports.queries import MachineFacts

USUAL_MINUTES = 30
_OPEN = (Grade.ACT_NOW, Grade.PLAN_WORK)
# Its limit is a share of a calculation, nothing a gauge shows.
_CALCULATED = ("traction", "traction, stalled", "groove pressure")


def field_sheet(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.FieldSheet:
    """Return the sheet of the report's machine."""
    facts = queries.facts_of_machine(
        scope=scope, machine_id=report.machine_id, as_of=issued_at
    )
    machine = facts.machine
    reader = reader_of(report, [machine.building])
    minutes = report.minutes or USUAL_MINUTES
    inside, outside = within(
        steps_for(facts.snapshot),
        minutes=minutes,
        open_topics={f.topic for f in facts.findings if f.grade in _OPEN},
        gaps={f.topic for f in facts.findings if f.grade == Grade.NOT_ASSESSED},
    )
    lines = (machine.building.address,) if machine.building.address else ()
    return content.FieldSheet(
        masthead=masthead(
            report,
            reader=reader,
            issued_at=issued_at,
            kind=_("Field sheet"),
            title=_("Visit to %(machine)s") % {"machine": machine.code},
            place=content.Party(name=machine.building.name, lines=lines),
            versions=versions([facts]),
        ),
        wording=wording(),
        machine_code=machine.code,
        machine_name=machine.name,
        qr_text=machine.code,
        time_budget=_("%(used)s of %(all)s minutes")
        % {"used": sum(step.minutes for step in inside), "all": minutes},
        description=(
            *_open(facts),
            *_marks(facts.snapshot),
            *description(facts.snapshot, reader=reader),
            *_left_out(outside),
        ),
        steps=tuple(_step(step, facts, reader=reader) for step in inside),
    )


def _open(facts: MachineFacts) -> Iterator[content.Row]:
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


def _left_out(steps: list[Step]) -> Iterator[content.Row]:
    if steps:
        names = [
            _("%(what)s (%(minutes)s min)")
            % {"what": words.said(step.what), "minutes": step.minutes}
            for step in steps
        ]
        yield content.Row(label=_("Not within this time"), value="; ".join(names))


def _step(step: Step, facts: MachineFacts, *, reader: Reader) -> content.SheetStep:
    kind = KINDS[step.kinds[0]]
    gauges = dict.fromkeys(KINDS[code].gauge for code in step.kinds)
    return content.SheetStep(
        what=words.said(step.what),
        how=words.said(step.how),
        gauge=", ".join(words.said(gauge) for gauge in gauges if gauge),
        time=_("%(minutes)s min") % {"minutes": step.minutes},
        limit=_limit(step, facts, reader=reader),
        unit=_unit(kind.quantity, reader=reader),
        boxes=tuple(_boxes(step, facts.snapshot)),
    )


def _unit(quantity: str, *, reader: Reader) -> str:
    units = {
        "length": reader.length_unit(),
        "force": "N" if reader.is_metric else "lbf",
        "hardness": "HB",
    }
    return units.get(quantity, "")


def _limit(step: Step, facts: MachineFacts, *, reader: Reader) -> str:
    """Return the limits that the findings of a step were held against."""
    texts: dict[str, None] = {}
    for finding in facts.findings:
        is_read = finding.topic in step.topics and finding.topic not in _CALCULATED
        if is_read and finding.limit is not None:
            texts[_limit_text(finding, reader=reader)] = None
    return "; ".join(list(texts)[:3])


def _limit_text(finding: Finding, *, reader: Reader) -> str:
    shown = findings.figures(finding, reader=reader)
    return f"{findings.criterion(finding)}: {shown['limit']}"


def _boxes(step: Step, snapshot: Snapshot) -> Iterator[content.SheetBox]:
    """Yield a box for each place that the step reads, with the last value there."""
    for label, wanted in _subjects(step, snapshot):
        for code in step.kinds:
            for place in step.places:
                named = [label, *_place_words(place)]
                if len(step.kinds) > 1:
                    named.append(words.kind(code))
                last = _last(snapshot, code, dict(place), wanted)
                yield content.SheetBox(
                    label=", ".join(part for part in named if part),
                    last=_as_typed(last),
                )


def _subjects(
    step: Step, snapshot: Snapshot
) -> Iterator[tuple[str, dict[str, object]]]:
    if step.over == "rope":
        for rope in snapshot.ropes:
            yield words.place(f"rope {rope.number}"), {"rope_id": rope.pk}
    elif step.over == "groove":
        for groove in snapshot.grooves:
            yield words.place(f"groove {groove.number}"), {"groove_id": groove.pk}
    else:
        yield "", {}


def _place_words(place: tuple[tuple[str, str], ...]) -> Iterator[str]:
    for key, value in place:
        yield f"{words.said(key.replace('_', ' '))} {words.said(value)}"


def _last(
    snapshot: Snapshot, code: str, place: dict[str, str], wanted: dict[str, object]
) -> Reading | None:
    found = None
    for reading in snapshot.of_kind(code):
        is_here = all(getattr(reading, name) == v for name, v in wanted.items())
        if is_here and place.items() <= reading.place.items():
            found = reading
    return found


def _as_typed(reading: Reading | None) -> str:
    """Return the last value as it was typed: the gauge shows it that way too."""
    if reading is None:
        return ""
    if reading.word:
        return words.said(reading.word)
    unit = "" if reading.typed_unit == "1" else reading.typed_unit
    return f"{reading.typed_value} {unit}".rstrip()
