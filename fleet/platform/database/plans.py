"""How PostgreSQL is told what it cannot know of tables that have just been filled."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connections


@contextmanager
def of_whole_tables(*, using: str) -> Iterator[None]:
    """Join whole tables inside the block, inside a transaction, not row by row.

    Of a contractor that came in since tables were counted the planner expects one row;
    a loop for each row of all its tables then takes their product. After an error the
    transaction forgets it by itself.
    """
    with connections[using].cursor() as cursor:
        cursor.execute("SET LOCAL enable_nestloop = off")
    yield
    with connections[using].cursor() as cursor:
        cursor.execute("SET LOCAL enable_nestloop = on")
