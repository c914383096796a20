"""The yardstick from below: the same rows by COPY, prepared as a text buffer."""

import re
import time
from typing import Any

import psycopg

# What a client sends of a reading; the id comes from its sequence.
_COLUMNS = """
SELECT string_agg(quote_ident(column_name), ', ' ORDER BY ordinal_position)
FROM information_schema.columns
WHERE table_schema = 'public' AND table_name = 'inspections_reading'
    AND column_name <> 'id'
"""
_BARE = "bare_reading"


class Copier:
    """Copies an upload's rows back in under other references, as the tables' owner."""

    def __init__(self, *, owner_url: str) -> None:
        self._owner: psycopg.Connection[Any] = psycopg.connect(owner_url)
        self._names = self._owner.execute(_COLUMNS).fetchone()[0]
        # The same columns without a key, an index or a trigger: no choice of ours
        # makes it slower.
        self._owner.execute(
            f"CREATE TABLE {_BARE} AS SELECT {self._names} "
            "FROM inspections_reading WITH NO DATA"
        )
        self._owner.commit()

    def prepare(self, *, upload_id: int, old_mark: str, new_mark: str) -> bytes:
        """Return the upload's readings as COPY's text, each with a new reference."""
        statement = (
            f"COPY (SELECT {self._names} FROM inspections_reading "
            f"WHERE upload_id = {int(upload_id)} ORDER BY id) TO STDOUT"
        )
        with self._owner.cursor() as cursor, cursor.copy(statement) as copy:
            found = b"".join(bytes(block) for block in copy)
        self._owner.commit()
        old, new = f"\t{old_mark}-".encode(), f"\t{new_mark}-".encode()
        text, count = re.subn(re.escape(old), new, found)
        if count != found.count(b"\n"):
            raise RuntimeError(f"{count} references of {old_mark} were renamed")
        return text

    def copy(self, text: bytes) -> float:
        """Store the text in one transaction; return the seconds, commit included."""
        return self._copy("inspections_reading", text)

    def copy_bare(self, text: bytes) -> float:
        """The same into a table without keys, which keeps them."""
        return self._copy(_BARE, text)

    def _copy(self, table: str, text: bytes) -> float:
        statement = f"COPY {table} ({self._names}) FROM STDIN"
        begun = time.perf_counter()
        with self._owner.cursor() as cursor, cursor.copy(statement) as copy:
            copy.write(text)
        self._owner.commit()
        return time.perf_counter() - begun

    def close(self) -> None:
        self._owner.execute(f"DROP TABLE {_BARE}")
        self._owner.commit()
        self._owner.close()
