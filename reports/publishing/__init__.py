"""Ask for a report, make it, release it: each of them once."""

from reports.publishing.order import (
    PUBLISH,
    Order,
    PeriodRunsBackwards,
    StillDue,
    request,
)
from reports.publishing.publish import Outcome, close_spent, publish
from reports.publishing.release import NotWaiting, release, withdraw

__all__ = [
    "PUBLISH",
    "NotWaiting",
    "Order",
    "Outcome",
    "PeriodRunsBackwards",
    "StillDue",
    "close_spent",
    "publish",
    "release",
    "request",
    "withdraw",
]
