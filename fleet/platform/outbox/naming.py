"""The name of a mail by which it can be told as the same one."""

import uuid
from email.utils import parseaddr

from django.conf import settings


def message_id() -> str:
    """Return a Message-ID that is never made twice (RFC 5322, 3.6.4)."""
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2]
    return f"<{uuid.uuid4().hex}@{domain or 'localhost'}>"
