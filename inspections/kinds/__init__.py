"""The closed list of what can be read on a machine.

One list feeds the upload, the worklist, the field sheets, stops and mails: a kind says
what it is called, how it is taken, on what and with which gauge, when it is asked for,
and the band outside which a reading is held. The bands are common practice, no source;
they decide what is held, never what is unsafe.
"""

from inspections.kinds import grooves, machines, pulleys, ropes, sheaves, tensions
from inspections.kinds.asking import Asked
from inspections.kinds.kind import BandEnd, Direction, Group, Kind, Subject
from inspections.kinds.places import MARKS, NUMBERS, PLACE_VALUES

KINDS = {
    kind.code: kind
    for kind in (
        *machines.KINDS,
        *ropes.KINDS,
        *tensions.KINDS,
        *grooves.KINDS,
        *sheaves.KINDS,
        *pulleys.KINDS,
    )
}


def of_group(group: Group) -> tuple[str, ...]:
    """Return the codes of the kinds that tell the same in ways of their own."""
    return tuple(kind.code for kind in KINDS.values() if kind.group is group)


__all__ = [
    "KINDS",
    "MARKS",
    "NUMBERS",
    "PLACE_VALUES",
    "Asked",
    "BandEnd",
    "Direction",
    "Group",
    "Kind",
    "Subject",
    "of_group",
]
