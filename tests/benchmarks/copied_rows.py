"""A contractor's machines with all their rows, written again by PostgreSQL itself."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import psycopg
from psycopg import sql

# Texts that are unique per contractor get the copy's number at their end.
UNIQUE_TEXTS = frozenset(
    {"code", "reference", "key", "number", "message_id", "address"}
)
TEXT_TYPES = frozenset({"character varying", "text"})


@dataclass(slots=True, kw_only=True)
class Copying:
    """The rows of a contractor, written again and again with ids of their own.

    `tables` name parents before their children. The administrator's session must check
    no references: every row is consistent by its making, and checking 14 references of
    each of millions of readings would take most of an hour.
    """

    administrator: psycopg.Connection[Any]
    contractor_id: int
    first_id: int
    tables: Sequence[str]
    counts: dict[str, int] = field(default_factory=dict)

    def run(self, *, copies: int) -> None:
        self.administrator.execute("SET session_replication_role = replica")
        self.administrator.execute("SET work_mem = '256MB'")
        self.administrator.execute("SET maintenance_work_mem = '1GB'")
        for table in self.tables:
            # To keep an index of millions of rows that come takes longer than to make
            # it of those that are there.
            indexes = self.administrator.execute(_INDEXES, [table]).fetchall()
            for name, _ in indexes:
                self.administrator.execute(
                    sql.SQL("DROP INDEX {}").format(sql.Identifier(name))
                )
            self._copy(table, copies)
            for _, definition in indexes:
                self.administrator.execute(definition)

    def _copy(self, table: str, copies: int) -> None:
        """Write a table's rows again; remember each one's place among them."""
        made = self.administrator.execute(
            sql.SQL(
                "CREATE TEMPORARY TABLE {places} ON COMMIT DROP AS SELECT id, "
                "row_number() OVER (ORDER BY id) AS place FROM {table} "
                "WHERE contractor_id = {contractor}"
            ).format(
                places=_places(table),
                table=sql.Identifier(table),
                contractor=sql.Literal(self.contractor_id),
            )
        )
        self.counts[table] = made.rowcount
        if not made.rowcount:
            return
        self.administrator.execute(sql.SQL("ANALYZE {}").format(_places(table)))
        columns = self._columns(table)
        joins = [join for _, join in columns.values() if join]
        statement = sql.SQL(
            "INSERT INTO {table} ({columns}) SELECT {terms} "
            "FROM generate_series(1, {copies}) AS n CROSS JOIN {table} AS t {joins} "
            "WHERE t.contractor_id = {contractor}"
        ).format(
            table=sql.Identifier(table),
            columns=sql.SQL(", ").join(sql.Identifier(name) for name in columns),
            terms=sql.SQL(", ").join(term for term, _ in columns.values()),
            copies=sql.Literal(copies),
            joins=sql.SQL(" ").join(joins),
            contractor=sql.Literal(self.contractor_id),
        )
        self.administrator.execute(statement)

    def _columns(self, table: str) -> dict[str, tuple[sql.Composable, Any]]:
        """Return what each column of a copy holds, and the join it needs."""
        references = dict(self.administrator.execute(_REFERENCES, [table]).fetchall())
        found = self.administrator.execute(_COLUMNS, [table]).fetchall()
        return {
            name: self._term(table, name, kind, references.get(name))
            for name, kind in found
        }

    def _term(
        self, table: str, name: str, kind: str, target: str | None
    ) -> tuple[sql.Composable, Any]:
        column = sql.Identifier("t", name)
        if name == "id":
            target = table
        if target is not None and self.counts.get(target):
            places = sql.Identifier(f"of_{name}")
            join = sql.SQL("LEFT JOIN {table} AS {places} ON {places}.id = {column}")
            new = sql.SQL("{first} + n * {count} + {places}.place").format(
                first=sql.Literal(self.first_id),
                count=sql.Literal(self.counts[target]),
                places=places,
            )
            return new, join.format(table=_places(target), places=places, column=column)
        if name in UNIQUE_TEXTS and kind in TEXT_TYPES:
            return sql.SQL("{} || '-' || n").format(column), None
        return column, None


def _places(table: str) -> sql.Identifier:
    return sql.Identifier(f"places_{table}")


_COLUMNS = """
SELECT column_name, data_type FROM information_schema.columns
WHERE table_schema = 'public' AND table_name = %s AND is_generated = 'NEVER'
ORDER BY ordinal_position
"""
# Those that keep no constraint.
_INDEXES = """
SELECT c.relname, pg_get_indexdef(i.indexrelid)
FROM pg_index i JOIN pg_class c ON c.oid = i.indexrelid
WHERE i.indrelid = %s::regclass
  AND NOT EXISTS (SELECT FROM pg_constraint WHERE conindid = i.indexrelid)
"""
_REFERENCES = """
SELECT attname, confrelid::regclass::text
FROM pg_constraint JOIN pg_attribute
    ON attrelid = conrelid AND attnum = conkey[array_upper(conkey, 1)]
WHERE contype = 'f' AND conrelid = %s::regclass
"""


def tidy(*, administrator_url: str, tables: Sequence[str]) -> None:
    """Leave the tables as a database that has lived leaves them."""
    with psycopg.connect(administrator_url, autocommit=True) as administrator:
        for table in tables:
            name = sql.Identifier(table)
            administrator.execute(
                sql.SQL(
                    "SELECT setval(pg_get_serial_sequence({text}, 'id'), "
                    "(SELECT max(id) + 1 FROM {name}))"
                ).format(text=sql.Literal(table), name=name)
            )
        administrator.execute("VACUUM ANALYZE")
        administrator.execute("CHECKPOINT")
