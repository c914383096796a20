"""The tables of what people receive."""

from reports.models.delivery import Delivery, DeliveryState, RefusedAddress
from reports.models.plan import ReportPlan, ReportPlanState
from reports.models.report import (
    MOST_RECIPIENTS,
    Report,
    ReportKind,
    ReportState,
)

__all__ = [
    "MOST_RECIPIENTS",
    "Delivery",
    "DeliveryState",
    "RefusedAddress",
    "Report",
    "ReportKind",
    "ReportPlan",
    "ReportPlanState",
    "ReportState",
]
