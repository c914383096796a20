"""One line for each request: who, what, with which answer, in how many milliseconds.

The client's address and the proxy's are told apart; person, key and request have the
numbers that the log of changes has.
Without the query, and without the parts of an address that are keys by themselves,
such as the links in mails: a log is read by more people than may use them.
"""

from typing import Any

from gunicorn.glogging import Logger

from fleet.platform.redaction import shown

# As in `fleet.platform.watching.logs`, which needs Django and its settings.
CALLER = "ropeseat.caller"


class AccessLogger(Logger):  # type: ignore[misc]
    """gunicorn's logger, with addresses that may be shown."""

    def atoms(self, *given: Any, **named: Any) -> dict[str, Any]:
        """Return what a line is made from."""
        found: dict[str, Any] = super().atoms(*given, **named)
        found["U"] = shown(found["U"] or "")
        # Noted by the service while it answered; gunicorn writes "-" for the rest.
        environ = given[2] if len(given) > 2 else named["environ"]
        caller: dict[str, Any] = environ.get(CALLER, {})
        return found | {"client": found["h"]} | caller
