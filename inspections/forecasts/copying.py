"""Rows between PostgreSQL and NumPy by COPY in its binary form.

The form: a header of 19 bytes, each row a count of fields and each field its length
and bytes, big-endian, at the end -1 (PostgreSQL manual, COPY, "Binary Format"). With
fixed-width columns and no NULL every row is as long as the next, so a whole answer is
one structured array and nothing is parsed row by row.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from django.db import connection
from psycopg import sql

SIGNATURE = b"PGCOPY\n\xff\r\n\x00" + bytes(8)
TRAILER = b"\xff\xff"
# NumPy's days count from 1970, PostgreSQL's from 2000; its infinity is the greatest.
DAYS_TO_2000 = 10_957
NO_DAY = 2**31 - 1

WIDTHS = {"int8": ">i8", "int4": ">i4", "float8": ">f8", "date": ">i4", "bool": "?"}


def row_form(columns: Mapping[str, str]) -> np.dtype[Any]:
    """Return the structured type of one binary row of the given column types."""
    fields: list[tuple[str, str]] = [("_count", ">i2")]
    for name, kind in columns.items():
        fields += [(f"_{name}_length", ">i4"), (name, WIDTHS[kind])]
    return np.dtype(fields)


def read(
    query: str, *, columns: Mapping[str, str], values: Sequence[object] = ()
) -> dict[str, np.ndarray]:
    """Return the columns of a query, streamed; the query must give no NULL.

    Raises ValueError where a row is not of the form the columns promise.
    """
    form = row_form(columns)
    answer = bytearray()
    with connection.cursor() as cursor:
        statement = f"COPY ({query}) TO STDOUT (FORMAT BINARY)"
        with cursor.cursor.copy(_composed(statement, values)) as copy:
            for block in copy:
                answer += block
    body = memoryview(answer)[len(SIGNATURE) : len(answer) - len(TRAILER)]
    if len(body) % form.itemsize:
        raise ValueError(f"a row of {query!r} is not {form.itemsize} bytes long")
    rows = np.frombuffer(body, dtype=form)
    _check(rows, columns)
    # In the machine's own byte order, and no longer tied to the whole answer.
    return {
        name: rows[name].astype(rows.dtype[name].newbyteorder("=")) for name in columns
    }


def write(
    table: str, *, columns: Mapping[str, str], rows: Mapping[str, np.ndarray]
) -> int:
    """Copy columns into a table; return how many rows."""
    form = row_form(columns)
    size = len(next(iter(rows.values())))
    packed = np.empty(size, dtype=form)
    packed["_count"] = len(columns)
    for name in columns:
        packed[f"_{name}_length"] = form[name].itemsize
        packed[name] = rows[name]
    names = sql.SQL(", ").join(sql.Identifier(name) for name in columns)
    statement = sql.SQL("COPY {} ({}) FROM STDIN (FORMAT BINARY)").format(
        sql.Identifier(table), names
    )
    with connection.cursor() as cursor, cursor.cursor.copy(statement) as copy:
        copy.write(SIGNATURE)
        copy.write(packed.tobytes())
        copy.write(TRAILER)
    return size


def days(dates: np.ndarray) -> np.ndarray:
    """Return numpy days as PostgreSQL's dates; NaT as infinity."""
    counted = dates.astype("datetime64[D]").astype(np.int64) - DAYS_TO_2000
    return np.where(np.isnat(dates), NO_DAY, counted)


def _composed(statement: str, values: Sequence[object]) -> sql.Composed:
    """Put the values into a statement as literals: COPY takes no parameters."""
    parts = statement.split("%s")
    if len(parts) != len(values) + 1:
        raise ValueError(f"{len(values)} values for {len(parts) - 1} places")
    composed: list[sql.Composable] = [sql.SQL(parts[0])]
    for value, text in zip(values, parts[1:], strict=True):
        composed += [sql.Literal(value), sql.SQL(text)]
    return sql.Composed(composed)


def _check(rows: np.ndarray, columns: Mapping[str, str]) -> None:
    if rows.size == 0:
        return
    good = rows["_count"] == len(columns)
    for name in columns:
        good &= rows[f"_{name}_length"] == rows.dtype[name].itemsize
    if not bool(good.all()):
        raise ValueError(f"row {int(np.argmin(good))} is not of the form {columns}")
