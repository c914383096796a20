"""The state of machines: worked out, kept as a row a machine, and asked for.

Whatever changes a state marks its machine in the same transaction, by trigger.
`refresh` works marked machines out anew; who asks meanwhile gets what is worked out at
once.
"""

from inspections.states.asking import (
    StandingCounts,
    in_service,
    machines,
    placed,
    standing,
)
from inspections.states.keeping import refresh
from inspections.states.urgency import STATES, STOPPED
from inspections.states.working_out import firsts, says_most, worked_out

__all__ = [
    "STATES",
    "STOPPED",
    "StandingCounts",
    "firsts",
    "in_service",
    "machines",
    "placed",
    "refresh",
    "says_most",
    "standing",
    "worked_out",
]
