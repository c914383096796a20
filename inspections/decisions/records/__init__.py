"""Records that go into a decision and come out of it."""

from inspections.decisions.records.facts import (
    AheadLimit,
    CaseMargin,
    Deflector,
    MachineFacts,
    OpenFinding,
)
from inspections.decisions.records.kind import OptionKind, Part, Possible, Urgency
from inspections.decisions.records.option import (
    OUR_RULE,
    Cost,
    MarginChange,
    Option,
    Sourced,
    sourced,
)
from inspections.decisions.records.order import (
    GrooveDrawing,
    GrooveToTurn,
    Line,
    RegrooveOrder,
)
from inspections.decisions.records.outlook import (
    Budget,
    Comparison,
    Course,
    Expected,
    Offer,
    PlannedMachine,
    Quarter,
)
from inspections.decisions.records.rates import Band, LeadTimes, Rates, exactly
from inspections.decisions.records.thresholds import Stricter, Threshold, Thresholds

__all__ = [
    "OUR_RULE",
    "AheadLimit",
    "Band",
    "Budget",
    "CaseMargin",
    "Comparison",
    "Cost",
    "Course",
    "Deflector",
    "Expected",
    "GrooveDrawing",
    "GrooveToTurn",
    "LeadTimes",
    "Line",
    "MachineFacts",
    "MarginChange",
    "Offer",
    "OpenFinding",
    "Option",
    "OptionKind",
    "Part",
    "PlannedMachine",
    "Possible",
    "Quarter",
    "Rates",
    "RegrooveOrder",
    "Sourced",
    "Stricter",
    "Threshold",
    "Thresholds",
    "Urgency",
    "exactly",
    "sourced",
]
