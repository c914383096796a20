"""Migrations run as the role that owns the tables, or not at all."""

import time
from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands import migrate
from django.db import OperationalError, connections

TRIES = 20
PAUSE_S = 3
# The service is at work meanwhile: a migration and a request may each hold what the
# other one waits for. PostgreSQL then ends one of the two, whichever it finds first.
_DEADLOCK = "40P01"


class Command(migrate.Command):
    """Django's migrate, on the alias "owner" unless one is named.

    On any other alias Django would write down migrations as done without doing them.
    """

    def handle(self, *args: Any, **options: Any) -> None:
        if options["database"] != "owner":
            raise CommandError(
                "migrations run as the owner of the tables: use --database owner"
            )
        if "owner" not in connections:
            raise CommandError("DATABASE_OWNER_URL is not set; migrations need it")
        for left in reversed(range(TRIES)):
            try:
                super().handle(*args, **options)
                return
            except OperationalError as problem:
                state = getattr(problem.__cause__, "sqlstate", None)
                if state != _DEADLOCK or not left:
                    raise
            # What was done is noted; the one that was ended left nothing.
            self.stderr.write("A deadlock with others at work: it is tried again.")
            time.sleep(PAUSE_S)
