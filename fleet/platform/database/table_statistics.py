"""What PostgreSQL's planner is told when one transaction has stored many rows.

Its own clean-up counts tables after they have changed, but not rows that are not
committed; until it comes by, a table that was empty yesterday is planned as empty. Only
a table's owner may have it counted before PostgreSQL 17, so a function does it for the
application.
"""

from typing import Any

from django.db import connection
from django.db.migrations.state import ProjectState

from fleet.platform.database.row_security import SqlOperation, app_role

MANY = 1000


def refresh(*models: Any, rows: int) -> None:
    """Have the tables counted if many rows were stored, committed or not yet.

    Takes parts of a second a table. A table that somebody else is counting or changing
    just now is passed over.
    """
    if rows < MANY:
        return
    tables = [model._meta.db_table for model in models]
    with connection.cursor() as cursor:
        cursor.execute("SELECT refresh_statistics(%s)", [tables])


class LetAppRefreshStatistics(SqlOperation):
    """Make the function that `refresh` calls."""

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            _FUNCTION,
            "REVOKE ALL ON FUNCTION refresh_statistics(text[]) FROM PUBLIC",
            f'GRANT EXECUTE ON FUNCTION refresh_statistics(text[]) TO "{app_role()}"',
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        return ["DROP FUNCTION refresh_statistics(text[])"]

    def describe(self) -> str:
        return "Let the application have tables counted"


_FUNCTION = """
CREATE FUNCTION refresh_statistics(tables text[]) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE name text;
BEGIN
    FOREACH name IN ARRAY tables LOOP
        EXECUTE format('ANALYZE (SKIP_LOCKED) public.%I', name);
    END LOOP;
END $$
"""
