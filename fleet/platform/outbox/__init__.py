"""Mails that are rows: claimed, sent, recorded; the same for every kind of mail."""

from fleet.platform.outbox.attempt import Begun, Outbox, Undeliverable
from fleet.platform.outbox.naming import message_id
from fleet.platform.outbox.sending import carry_out, perform
from fleet.platform.queue.mail_hold import is_held

__all__ = [
    "Begun",
    "Outbox",
    "Undeliverable",
    "carry_out",
    "is_held",
    "message_id",
    "perform",
]
