"""Reports on their way by mail: one row for each report and address."""

from reports.delivery.attempt import OUTBOX
from reports.delivery.links import end as end_link
from reports.delivery.links import open_link
from reports.delivery.queueing import DELIVER, clear, queue
from reports.delivery.renewing import renew

__all__ = [
    "DELIVER",
    "OUTBOX",
    "clear",
    "end_link",
    "open_link",
    "queue",
    "renew",
]
