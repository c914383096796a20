"""Moments as the database sends them, read at once.

psycopg takes a moment apart by a pattern and Django puts its zone in anew; a machine
has hundreds of them. What is not written in the usual way goes the usual way.
"""

from datetime import UTC, datetime
from typing import Any

from django.db.backends.signals import connection_created
from psycopg.types.datetime import TimestamptzLoader

_IN_UTC = b"+00"


class MomentLoader(TimestamptzLoader):
    """A moment of a connection whose zone is UTC."""

    # Django asks its loader for it before each cursor.
    timezone = UTC

    def load(self, data: Any) -> datetime:
        """Return the moment. Raises psycopg.DataError for what is none."""
        said = bytes(data)
        if said.endswith(_IN_UTC):
            try:
                return datetime.fromisoformat(said.decode())
            except ValueError:
                # A year that Python has not: psycopg says so.
                pass
        return super().load(data).replace(tzinfo=UTC)


def connect() -> None:
    """Let each connection that is made read moments so."""
    connection_created.connect(_made, dispatch_uid="ropeseat-moments")


def _made(*, connection: Any, **_: object) -> None:
    if connection.timezone == UTC:
        connection.connection.adapters.register_loader("timestamptz", MomentLoader)
