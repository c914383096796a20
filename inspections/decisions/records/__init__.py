"""Records that go into a decision and come out of it."""

from inspections.decisions.records.facts import (
    AheadLimit,
    CaseMargin,
    MachineFacts,
    OpenFinding,
    WrapPulley,
)
from inspections.decisions.records.kind import BoughtPart, OptionKind, Possible
from inspections.decisions.records.learnt import ClassLearnt, ClassTaken, Learnt
from inspections.decisions.records.option import (
    SHOWN,
    Cost,
    MarginChange,
    Option,
    ShownField,
    SourcedReason,
    shown,
    sourced,
)
from inspections.decisions.records.order import (
    GrooveDrawing,
    GrooveToTurn,
    OrderLine,
    RegrooveOrder,
)
from inspections.decisions.records.outlook import (
    Budget,
    Comparison,
    CostOfKind,
    CostOfMachine,
    Expected,
    FollowedOption,
    Offer,
    PlannedMachine,
    Quarter,
    Standing,
    WorthMeasuring,
)
from inspections.decisions.records.rates import Estimate, LeadTimes, Rates, exactly
from inspections.decisions.records.thresholds import Stricter, Threshold, Thresholds

__all__ = [
    "SHOWN",
    "AheadLimit",
    "BoughtPart",
    "Budget",
    "CaseMargin",
    "ClassLearnt",
    "ClassTaken",
    "Comparison",
    "Cost",
    "CostOfKind",
    "CostOfMachine",
    "Estimate",
    "Expected",
    "FollowedOption",
    "GrooveDrawing",
    "GrooveToTurn",
    "LeadTimes",
    "Learnt",
    "MachineFacts",
    "MarginChange",
    "Offer",
    "OpenFinding",
    "Option",
    "OptionKind",
    "OrderLine",
    "PlannedMachine",
    "Possible",
    "Quarter",
    "Rates",
    "RegrooveOrder",
    "ShownField",
    "SourcedReason",
    "Standing",
    "Stricter",
    "Threshold",
    "Thresholds",
    "WorthMeasuring",
    "WrapPulley",
    "exactly",
    "shown",
    "sourced",
]
