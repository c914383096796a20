"""What asks for action at once: the office is told by mail, now."""

from inspections.urgent.acting import acts_at_once
from inspections.urgent.attempt import Begun, begin, close_spent, record
from inspections.urgent.telling import (
    TELL_TOGETHER,
    WARN,
    tell,
    tell_of_findings,
    tell_of_move,
    tell_of_stops,
    tell_together,
)

__all__ = [
    "TELL_TOGETHER",
    "WARN",
    "Begun",
    "acts_at_once",
    "begin",
    "close_spent",
    "record",
    "tell",
    "tell_of_findings",
    "tell_of_move",
    "tell_of_stops",
    "tell_together",
]
