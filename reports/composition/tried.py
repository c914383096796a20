"""Scenarios that the contractor shows the owner: a chapter of their own.

Nothing of them enters the findings, grades or dates of the machine as it is.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from inspections import versions, wording
from inspections.models import Scenario
from inspections.reasons import Reason
from inspections.reasons.opening import name_of
from inspections.reasons.serial import item_from_json
from inspections.scenarios import keeping, notes
from inspections.scenarios import words as called
from reports import content
from reports.composition import tried_tables, words
from reports.composition.lines import AnswerLine
from reports.composition.reader import Reader
from reports.queries import MachineRecord

# More would drown the report; the others stand on the machine's page.
MOST_A_MACHINE = 3


def changes(
    facts: Sequence[MachineRecord],
    shared: Mapping[int, Sequence[Scenario]],
    *,
    reader: Reader,
    today: date,
) -> tuple[content.TriedChange, ...]:
    """Return what was tried of each machine, by its id, the newest first."""
    return tuple(
        _change(one, row, reader=reader, today=today)
        for one in facts
        for row in shared.get(one.machine.pk, ())[:MOST_A_MACHINE]
    )


def told(
    facts: Sequence[MachineRecord], shared: Mapping[int, Sequence[Scenario]]
) -> tuple[AnswerLine, ...]:
    """Return a line for each machine of which a change was tried, for page one."""
    lines = []
    for one in facts:
        rows = shared.get(one.machine.pk, ())
        if not rows:
            continue
        code = one.machine.code
        said = {
            "machine": code,
            "names": ", ".join(f"“{_name(row)}”" for row in rows[:MOST_A_MACHINE]),
        }
        text = _(
            "%(machine)s: %(names)s; a calculation of a change that was not made, in a "
            "chapter of its own behind the technical annex."
        )
        lines.append(AnswerLine(text=text % said, machines=(code,)))
    return tuple(lines)


def _change(
    facts: MachineRecord, row: Scenario, *, reader: Reader, today: date
) -> content.TriedChange:
    answer = row.answer
    return content.TriedChange(
        machine=facts.machine.code,
        title=f"{facts.machine.code}: {_name(row)}",
        about=tuple(_about(row, reader=reader)),
        findings=tried_tables.findings(answer, reader=reader),
        traction=tried_tables.traction(answer, reader=reader),
        dates=tried_tables.dates(answer, reader=reader, today=today),
        figures=tried_tables.figures(answer, reader=reader),
        moved_on=_moved_on(facts, row),
    )


def _name(row: Scenario) -> str:
    return words.as_entered(row.name)


def _moved_on(facts: MachineRecord, row: Scenario) -> str:
    rules = row.rules_version == str(versions.JUDGING)
    if rules and row.knows == keeping.digest_of(facts.snapshot):
        return ""
    return _(
        "The machine is known otherwise by now, or the rules have changed, since this "
        "was worked out: nobody rests on it before it is worked out anew."
    )


def _about(row: Scenario, *, reader: Reader) -> Iterator[content.Row]:
    answer = row.answer
    tried = [
        _item(name, answer["changes"][name], reader=reader)
        for name in called.ITEMS
        if name in answer["changes"]
    ]
    yield content.Row(label=_("What was tried"), value="; ".join(tried) or _("nothing"))
    yield content.Row(
        label=_("Worked out on"),
        value=reader.day(row.worked_out_at),
    )
    if answer["cut"] is not None:
        yield content.Row(label=_("The cut"), value=_cut(answer["cut"], reader=reader))
    first = [wording.name(name_of(name)) for name in answer["measure_first"]]
    yield content.Row(
        label=_("To be measured first"),
        value=", ".join(first) or _("no value that is open decides it"),
    )
    supposed = [_note(each) for each in answer["notes"]]
    if supposed:
        yield content.Row(label=_("What it supposes"), value="\n".join(supposed))


def _cut(cut: Mapping[str, Any], *, reader: Reader) -> str:
    """Return whether the rim has the metal for it, what it keeps and what lacks."""
    said = [str(called.CUTS.get(cut["answer"], cut["answer"]))]
    if cut["metal_left_mm"] is not None:
        said.append(
            _("least metal left, under groove %(groove)s: %(metal)s")
            % {
                "groove": cut["thinnest_groove"],
                "metal": reader.length(cut["metal_left_mm"]),
            }
        )
    lacks = [_lacking(each, reader=reader) for each in cut.get("missing_said") or ()]
    if lacks:
        said.append(_("what lacks: %(items)s") % {"items": ", ".join(lacks)})
    return "; ".join(said)


def _lacking(said: Any, *, reader: Reader) -> str:
    item = item_from_json(said)
    if isinstance(item, Reason):
        return wording.say(item, family=reader.family)
    return "" if item is None else wording.name(item)


def _item(name: str, value: Any, *, reader: Reader) -> str:
    what, unit = called.ITEMS[name]
    if isinstance(value, str):
        return f"{what}: {called.named(value)}"
    return f"{what}: {reader.quantity(value, unit)}"


def _note(note: Mapping[str, str]) -> str:
    try:
        return str(notes.WORDS[notes.Note(note["code"])])
    except ValueError:
        return note["words"]
