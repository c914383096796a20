"""Long reads may come from a standby: a second server that follows the first.

A verdict is never read from it, because it may be behind. A file that a worker writes
may: it shows one instant anyway, and that instant is no earlier than the beginning of
its job, or the server itself is read. PostgreSQL's manual, chapter 27.
"""

import contextvars
import logging
import time
from collections.abc import Callable, Generator, Iterator
from contextvars import ContextVar
from typing import Any

from django.db import DatabaseError, connections

logger = logging.getLogger(__name__)

SERVER = "default"
STANDBY = "standby"
CATCHES_UP_WITHIN_S = 10.0
_A_LOOK_S = 0.1

_read_from: ContextVar[str] = ContextVar("read_from", default=SERVER)


def alias() -> str:
    """Return the alias of the database that is read from here."""
    return _read_from.get()


def read(
    make: Callable[[], Iterator[bytes]], *, within_s: float = CATCHES_UP_WITHIN_S
) -> Iterator[bytes]:
    """Yield what `make` yields, read from the standby if it knows all of this moment.

    It waits so many seconds for it. Whoever takes the pieces reads from the server all
    the same: only the steps of `make` itself see the standby. Where there is none, or
    it is behind, away, or a server in its own right, the server is read.
    """
    if not knows_this_moment(within_s=within_s):
        yield from make()
        return
    context = contextvars.copy_context()
    context.run(_read_from.set, STANDBY)
    pieces = context.run(make)
    try:
        while (piece := context.run(next, pieces, None)) is not None:
            yield piece
    finally:
        if isinstance(pieces, Generator):
            context.run(pieces.close)


def knows_this_moment(*, within_s: float) -> bool:
    """Tell whether the standby comes to have all of now within so many seconds."""
    if STANDBY not in connections.settings:
        return False
    try:
        system, written = _ask(SERVER, _WRITTEN)
        return _has_caught_up(system, written, until=time.monotonic() + within_s)
    except DatabaseError as error:
        logger.warning("the standby is not read: %s", error.__class__.__name__)
        connections[STANDBY].close()
        return False


_WRITTEN = """
SELECT system_identifier::text, pg_current_wal_flush_lsn()::text
FROM pg_control_system()
"""
# A server that is no copy, or of another installation, has never caught up.
_CAUGHT_UP = """
SELECT system_identifier::text,
    coalesce(pg_is_in_recovery() AND pg_last_wal_replay_lsn() >= %s::pg_lsn, false)
FROM pg_control_system()
"""


def _has_caught_up(system: str, written: str, *, until: float) -> bool:
    while True:
        copied, caught_up = _ask(STANDBY, _CAUGHT_UP, written)
        if copied != system:
            logger.error("STANDBY_DATABASE_URL is no copy of DATABASE_URL's server")
            return False
        if caught_up or time.monotonic() > until:
            return bool(caught_up)
        time.sleep(_A_LOOK_S)


def _ask(alias: str, statement: str, *values: Any) -> tuple[Any, ...]:
    with connections[alias].cursor() as cursor:
        cursor.execute(statement, values)
        found: tuple[Any, ...] = cursor.fetchone()
        return found
