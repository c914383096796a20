"""The closed list of what can be read on a machine.

One list feeds the upload, the worklist and the field sheets: code, quantity, place,
usual gauge, and the band outside which a reading is held. The bands are common
practice, no source; they decide what is held, never what is unsafe.
"""

from inspections.kinds import grooves, machines, ropes, sheaves
from inspections.kinds.places import MARKS, NUMBERS, PLACE_VALUES
from inspections.kinds.records import Bound, Course, Kind, Subject

KINDS = {
    kind.code: kind
    for kind in (*ropes.KINDS, *grooves.KINDS, *sheaves.KINDS, *machines.KINDS)
}

__all__ = [
    "KINDS",
    "MARKS",
    "NUMBERS",
    "PLACE_VALUES",
    "Bound",
    "Course",
    "Kind",
    "Subject",
]
