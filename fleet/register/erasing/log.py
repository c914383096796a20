"""The owner's hand on history: in one transaction, written down as a command's."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from django.db import connections, transaction
from django.db.backends.utils import CursorWrapper
from psycopg import sql

from fleet.platform.database.tenancy import ACTOR, Actor

OWNER = "owner"
ERASED = "erased"


@contextmanager
def opened(*, via: str) -> Iterator[CursorWrapper]:
    """Open a transaction of the owner in which history can be changed.

    Whoever adds to a table of history meanwhile waits until it ends.
    """
    with transaction.atomic(using=OWNER), connections[OWNER].cursor() as cursor:
        cursor.execute(
            "SELECT set_config(%s, %s, true)", [ACTOR, Actor(via=via).as_text()]
        )
        kept = _append_only(cursor)
        for table in kept:
            cursor.execute(_switch(table, "DISABLE"))
        yield cursor
        # What is checked at the end is checked now: a table in doubt is not altered.
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for table in kept:
            cursor.execute(_switch(table, "ENABLE"))


def hide_fields(
    cursor: CursorWrapper, /, *, table: str, ids: Sequence[int], names: Sequence[str]
) -> int:
    """Put out what the log tells of these columns of rows; return how many lines."""
    cursor.execute(_HIDE, [list(names), ERASED, ERASED, table, list(ids), list(names)])
    return int(cursor.rowcount)


_HIDE = """
UPDATE fleet_change SET fields = (
    SELECT jsonb_object_agg(key, CASE WHEN key = ANY(%s)
        THEN jsonb_build_array(%s::text, %s::text) ELSE value END)
    FROM jsonb_each(fields)
)
WHERE "table" = %s AND row_id = ANY(%s) AND fields ?| %s
"""


def replace_text(
    cursor: CursorWrapper, /, *, contractor_ids: Sequence[int], old: str, new: str
) -> int:
    """Replace a whole text wherever it stands in the contractors' log.

    Only where it is all of a value or of one of a list, in any case of letters; a
    longer text that holds it stays. Returns how many lines.
    """
    cursor.execute(_REPLACE, [old, new, list(contractor_ids), old])
    return int(cursor.rowcount)


# to_json writes a text as jsonb does; the quotes at both ends make it a whole one.
_WHOLE = (
    "regexp_replace(to_json(%s::text)::text, "
    r"'([][\\.^$*+?(){}|])', '\\\1', 'g')"
)
_REPLACE = f"""
UPDATE fleet_change SET fields = regexp_replace(
    fields::text, {_WHOLE}, to_json(%s::text)::text, 'gi'
)::jsonb
WHERE contractor_id = ANY(%s) AND fields::text ~* {_WHOLE}
"""


def _append_only(cursor: CursorWrapper) -> list[str]:
    cursor.execute(
        "SELECT relname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid "
        "WHERE tgname = 'append_only' ORDER BY relname"
    )
    return [name for (name,) in cursor.fetchall()]


def _switch(table: str, how: str) -> sql.Composed:
    return sql.SQL("ALTER TABLE {} {} TRIGGER append_only").format(
        sql.Identifier(table), sql.SQL(how)
    )
