"""Reports on their way by mail: one row for each report and address."""

from fleet.platform.mailing import Answer, send
from reports.delivery.attempt import Begun, begin, close_spent, record
from reports.delivery.links import Opened, open_link
from reports.delivery.links import end as end_link
from reports.delivery.queueing import DELIVER, clear, queue

__all__ = [
    "DELIVER",
    "Answer",
    "Begun",
    "Opened",
    "begin",
    "clear",
    "close_spent",
    "end_link",
    "open_link",
    "queue",
    "record",
    "send",
]
