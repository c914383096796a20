"""Events that somebody who watches for attacks wants to read, one line each.

Names of events are stable and meant for programs. A line holds ids, never what was
typed: a password goes into the field of the name sooner or later.
"""

import logging

logger = logging.getLogger("ropeseat.security")


def tell(event: str, *, grave: bool = False, **details: object) -> None:
    """Write one event; details without a value are left out."""
    said = {name: value for name, value in details.items() if value not in (None, "")}
    logger.log(
        logging.WARNING if grave else logging.INFO,
        "%s%s",
        event,
        "".join(f" {name}={value}" for name, value in said.items()),
        extra={"event": event, "details": said},
    )
