"""Whether what decides on page one rests on sources that are still from memory."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections.engineering.source import Certainty
from inspections.models import Finding, Grade
from reports.composition import findings, lines, words
from reports.queries import MachineRecord

_FROM_MEMORY = "from memory"
# Page one names so many matters of a machine; the annex has every source.
_MOST_NAMED = 3
# And so many different sets of matters, each with so many machines.
_MOST_GROUPS, MOST_MACHINES = 4, 6


def provisional(facts: Sequence[MachineRecord]) -> str:
    """Return what decides by a limit from memory, machine by machine; "" for none."""
    named: dict[str, list[str]] = {}
    for one in facts:
        topics = dict.fromkeys(
            words.topic(f.topic).what for f in _deciding(one) if _is_from_memory(f)
        )
        if topics:
            shown = ", ".join(list(topics)[:_MOST_NAMED])
            more = ", ..." if len(topics) > _MOST_NAMED else ""
            named.setdefault(f"{shown}{more}", []).append(one.machine.code)
    if not named:
        return ""
    told = [
        f"{lines.some(codes, most=MOST_MACHINES)} ({topics})"
        for topics, codes in list(named.items())[:_MOST_GROUPS]
    ]
    if len(named) > _MOST_GROUPS:
        told.append("..")
    return _(
        "PROVISIONAL. Limits that decide here are from memory and still to be "
        "confirmed in the documents: %(machines)s."
    ) % {"machines": "; ".join(told)}


def _deciding(facts: MachineRecord) -> list[Finding]:
    """Return what asks for something; where nothing does, every check that was made."""
    asking = [f for f in facts.findings if f.grade in findings.ASKING]
    made = [f for f in facts.findings if f.grade != Grade.NOT_ASSESSED]
    return asking or made


def _is_from_memory(finding: Finding) -> bool:
    return finding.how_sure == Certainty.FROM_MEMORY or _FROM_MEMORY in finding.source
