"""One line for each request: who, what, with which answer, in how many milliseconds.

Without the query, and without the parts of an address that are keys by themselves,
such as the links in mails: a log is read by more people than may use them.
"""

from typing import Any

from gunicorn.glogging import Logger

# Longer than any word or number of the service's own addresses.
LONGEST_WORD = 24


class AccessLogger(Logger):  # type: ignore[misc]
    """gunicorn's logger, with addresses that may be shown."""

    def atoms(self, *given: Any, **named: Any) -> dict[str, Any]:
        """Return what a line is made from."""
        found: dict[str, Any] = super().atoms(*given, **named)
        found["U"] = shown(found["U"] or "")
        return found


def shown(path: str) -> str:
    """Return a path with each long part left out.

    >>> shown("/api/v1/report-links/3.14.Zm9vYmFyYmF6cXV4:9f8e7d")
    '/api/v1/report-links/...'
    >>> shown("/api/v1/machines/17/condition")
    '/api/v1/machines/17/condition'
    """
    parts = path.split("/")
    return "/".join(part if len(part) <= LONGEST_WORD else "..." for part in parts)
