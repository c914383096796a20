"""The portfolio a page at a time: one line a machine, the most urgent first.

A constant number of queries for a page, however many machines there are.
"""

from inspections.overview.grouping import MachineGroup, by_building, by_owner
from inspections.overview.listing import (
    MOST_ON_A_PAGE,
    MachineLine,
    MachineLines,
    chunks,
    lines,
)
from inspections.overview.wishes import ORDERS, Wish
from inspections.states import STATES, STOPPED, StandingCounts, machines, standing

__all__ = [
    "MOST_ON_A_PAGE",
    "ORDERS",
    "STATES",
    "STOPPED",
    "MachineGroup",
    "MachineLine",
    "MachineLines",
    "StandingCounts",
    "Wish",
    "by_building",
    "by_owner",
    "chunks",
    "lines",
    "machines",
    "standing",
]
