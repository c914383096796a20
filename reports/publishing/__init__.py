"""Ask for a report, make it, release it: each of them once."""

from reports.publishing.order import (
    PUBLISH,
    Order,
    PeriodRunsBackwards,
    StillDue,
    request,
)
from reports.publishing.publishing import PublishingResult, close_spent, publish
from reports.publishing.releasing import (
    NoLongerSo,
    NotWaiting,
    check_still_so,
    release,
    withdraw,
)

__all__ = [
    "PUBLISH",
    "NoLongerSo",
    "NotWaiting",
    "Order",
    "PeriodRunsBackwards",
    "PublishingResult",
    "StillDue",
    "check_still_so",
    "close_spent",
    "publish",
    "release",
    "request",
    "withdraw",
]
