"""What asks for action at once: the office is told by mail, now."""

from inspections.urgent.acting import acts_at_once
from inspections.urgent.attempt import OUTBOX
from inspections.urgent.mailing import (
    TELL_TOGETHER,
    WARN,
    Telling,
    office,
    open_again,
    tell,
    tell_of_findings,
    tell_of_move,
    tell_of_stops,
    tell_together,
)

__all__ = [
    "OUTBOX",
    "TELL_TOGETHER",
    "WARN",
    "Telling",
    "acts_at_once",
    "office",
    "open_again",
    "tell",
    "tell_of_findings",
    "tell_of_move",
    "tell_of_stops",
    "tell_together",
]
