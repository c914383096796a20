"""One upload, from its parsed body to an outcome for every reading."""

from inspections.intake.accepting import Accepted, accept, answered_before
from inspections.intake.decode import NotAnUpload, TooManyReadings
from inspections.intake.repeat import KeyReused, StillRunning

__all__ = [
    "Accepted",
    "KeyReused",
    "NotAnUpload",
    "StillRunning",
    "TooManyReadings",
    "accept",
    "answered_before",
]
