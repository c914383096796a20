"""The yardstick: the same rows by COPY, with the tables' keys, by their owner."""

import os
from time import perf_counter
from typing import Any

import psycopg
from psycopg import sql

from fleet.models import Contractor

# Parents before their children.
TABLES = (
    "fleet_owner",
    "fleet_building",
    "fleet_machine",
    "fleet_sheave",
    "fleet_sheavegeometry",
    "fleet_groove",
    "fleet_ropeset",
    "fleet_rope",
    "fleet_ropeingroove",
)
# No id of a benchmark comes near it.
_FURTHER = 100_000_000

_COLUMNS = """
SELECT column_name FROM information_schema.columns
WHERE table_schema = 'public' AND table_name = %s AND is_generated = 'NEVER'
ORDER BY ordinal_position
"""
_REFERENCES = """
SELECT attname, confrelid::regclass::text
FROM pg_constraint JOIN pg_attribute
    ON attrelid = conrelid AND attnum = conkey[array_upper(conkey, 1)]
WHERE contype = 'f' AND conrelid = %s::regclass
"""


def copy_again(contractor: Contractor) -> dict[str, Any]:
    """Copy a contractor's register to a new contractor; return rows and seconds.

    Prepared as text beforehand; the seconds are those of COPY and its commit.
    """
    to = Contractor.objects.create(name="Copied Lifts", code="copied")
    with psycopg.connect(os.environ["DATABASE_OWNER_URL"]) as owner:
        texts = [
            (table, *_prepared(owner, table, contractor.pk, to.pk)) for table in TABLES
        ]
        owner.commit()
        begun = perf_counter()
        for table, columns, text in texts:
            statement = sql.SQL("COPY {} ({}) FROM STDIN").format(
                sql.Identifier(table), sql.SQL(", ").join(map(sql.Identifier, columns))
            )
            with owner.cursor() as cursor, cursor.copy(statement) as copy:
                copy.write(text)
        owner.commit()
        seconds = perf_counter() - begun
    return {
        "rows": sum(text.count(b"\n") for *_, text in texts),
        "seconds": seconds,
    }


def _prepared(
    owner: psycopg.Connection[Any], table: str, old: int, new: int
) -> tuple[list[str], bytes]:
    """Return the columns and a table's rows as COPY's text, with ids of their own."""
    references = dict(owner.execute(_REFERENCES, [table]).fetchall())
    columns = [name for (name,) in owner.execute(_COLUMNS, [table]).fetchall()]
    terms = [_term(name, references.get(name), new) for name in columns]
    statement = sql.SQL(
        "COPY (SELECT {} FROM {} WHERE contractor_id = {} ORDER BY id) TO STDOUT"
    ).format(sql.SQL(", ").join(terms), sql.Identifier(table), sql.Literal(old))
    with owner.cursor() as cursor, cursor.copy(statement) as copy:
        return columns, b"".join(bytes(block) for block in copy)


def _term(name: str, target: str | None, contractor_id: int) -> sql.Composable:
    if name == "contractor_id":
        return sql.Literal(contractor_id)
    column = sql.Identifier(name)
    if name == "id" or target in TABLES:
        return sql.SQL("{} + {}").format(column, sql.Literal(_FURTHER))
    return column
