"""One line for each request: who, what, with which answer, in how many milliseconds.

Without the query, and without the parts of an address that are keys by themselves,
such as the links in mails: a log is read by more people than may use them.
"""

from typing import Any

from gunicorn.glogging import Logger

from fleet.platform.redaction import shown


class AccessLogger(Logger):  # type: ignore[misc]
    """gunicorn's logger, with addresses that may be shown."""

    def atoms(self, *given: Any, **named: Any) -> dict[str, Any]:
        """Return what a line is made from."""
        found: dict[str, Any] = super().atoms(*given, **named)
        found["U"] = shown(found["U"] or "")
        return found
