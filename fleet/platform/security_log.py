"""Events that somebody who watches for attacks wants to read, one line each.

Names of events are stable and meant for programs; each is counted too. A line holds
ids, never what was typed: a password goes into the field of the name sooner or later.
Who asks, with which key, from where and in which request is noted as soon as it is
known, and stands in every line of the request.
"""

import logging
from contextvars import ContextVar
from typing import Any

from fleet.platform import counters

logger = logging.getLogger("ropeseat.security")

# Each name that is told somewhere. A watcher sees what a count has grown by, and none
# of what it began with: each begins at 0, so that the first event of its kind is seen.
EVENTS = (
    "act-refused",
    "export-asked",
    "file-malicious",
    "import-asked",
    "key-issued",
    "key-refused",
    "key-reused",
    "key-revoked",
    "log-in",
    "log-in-failed",
    "log-in-too-often",
    "pairing-code-shown",
    "pairing-refused",
    "password-set",
    "report-link-asked-for",
    "scanner-away",
    "second-factor-added",
    "second-factor-codes-made",
    "second-factor-removed",
    "second-factor-reset",
    "second-factor-shown",
    "second-factor-too-often",
    "second-factor-wrong",
    "sent-without-https",
    "session-ended",
    "taken-out",
    "too-many-requests",
)
with counters.out_of_the_way():
    for _event in EVENTS:
        counters.SECURITY_EVENTS.labels(_event)

# Of the request at work: request, client, proxy, person, key.
caller: ContextVar[dict[str, Any] | None] = ContextVar("caller", default=None)


def note(**known: object) -> None:
    """Note who is calling, for all lines of this request."""
    noted = caller.get()
    if noted is not None:
        noted.update({name: value for name, value in known.items() if value})


def tell(event: str, *, grave: bool = False, **details: object) -> None:
    """Write one event and count it; details without a value are left out."""
    said = {name: value for name, value in details.items() if value not in (None, "")}
    with counters.out_of_the_way():
        counters.SECURITY_EVENTS.labels(event).inc()
    logger.log(
        logging.WARNING if grave else logging.INFO,
        "%s%s",
        event,
        "".join(f" {name}={value}" for name, value in said.items()),
        extra={"event": event, "details": said},
    )
