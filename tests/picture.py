"""Everything of an installation that a restore must bring back, by its name."""

import hashlib
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

TABLES = "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"
ROWS = "SELECT md5(string_agg(t::text, E'\n' ORDER BY t::text)), count(*) FROM {} t"
SHAPE = {
    "policies": "SELECT tablename, policyname, cmd, qual, with_check FROM pg_policies "
    "WHERE schemaname = 'public'",
    "triggers": "SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal "
    "AND tgrelid::regclass::text NOT LIKE 'pgmq.%'",
    "constraints": "SELECT conrelid::regclass::text, conname, "
    "pg_get_constraintdef(oid) FROM pg_constraint "
    "WHERE connamespace = 'public'::regnamespace",
    "indexes": "SELECT indexdef FROM pg_indexes WHERE schemaname = 'public'",
    "rights": "SELECT relname, relrowsecurity, relowner::regrole::text, "
    "relacl::text FROM pg_class WHERE relnamespace = 'public'::regnamespace "
    "AND relkind IN ('r', 'S')",
    "counters": "SELECT sequencename, last_value FROM pg_sequences "
    "WHERE schemaname = 'public'",
}

# PostgreSQL prints a condition otherwise when it has read it from its own print.
RECAST = re.compile(r"::(character varying|text)(\[\])?|[()]")


def taken(
    *, query: Callable[[str], list[tuple[Any, ...]]], media: Path
) -> dict[str, Any]:
    """Return digests of all rows, and policies, triggers, rights, counters, files."""
    found: dict[str, Any] = {
        name: sorted(RECAST.sub("", repr(row)) for row in query(asked))
        for name, asked in SHAPE.items()
    }
    for (table,) in query(TABLES):
        found[f"rows of {table}"] = query(ROWS.format(f'"{table}"'))
    found["files"] = {
        str(path.relative_to(media)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in media.rglob("*")
        if path.is_file()
    }
    return found
