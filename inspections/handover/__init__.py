"""A machine's whole history from one contractor's house to another, all or nothing.

The same file serves two contractors of one service and two installations that know
nothing of each other. What was read, done and seen goes; what was worked out does not,
for the taking house judges anew. An open stop goes: knowing less never ends one.
"""

from inspections.handover.giving import close, offer, pack, withdraw
from inspections.handover.taking import ASSESS, TakenMachine, take

__all__ = ["ASSESS", "TakenMachine", "close", "offer", "pack", "take", "withdraw"]
