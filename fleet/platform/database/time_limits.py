"""How long the database works on one statement: short for web, longer for workers.

A list without its index, or a lock that nobody gives back, ends with an error instead
of taking every connection with it. Commands such as migrations have no limit.
"""

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.db import connections

from fleet.platform.database import standby


def for_web() -> None:
    """Limit the statements of this process as those of a web server."""
    _limit(
        statement_timeout=settings.WEB_STATEMENT_TIMEOUT_S,
        idle_in_transaction_session_timeout=settings.WEB_IDLE_TIMEOUT_S,
    )


def for_worker(**_: object) -> None:
    """Limit the statements of this process as those of a worker.

    A worker may work things out between two statements for as long as its task may
    take; the task's own time limit ends that.
    """
    _limit(statement_timeout=settings.WORKER_STATEMENT_TIMEOUT_S)


def _limit(**seconds_by_name: int) -> None:
    for alias in (standby.SERVER, standby.STANDBY):
        if alias in connections.settings:
            _limit_of(connections.settings[alias], seconds_by_name)


def _limit_of(database: dict[str, Any], seconds_by_name: Mapping[str, int]) -> None:
    options = database.setdefault("OPTIONS", {})
    given = options.get("options", "")
    limits = " ".join(
        f"-c {name}={seconds * 1000}"
        for name, seconds in seconds_by_name.items()
        # Left out, a pooler that knows no such parameters can stand between.
        if seconds
    )
    if limits:
        options["options"] = f"{given} {limits}".strip()
