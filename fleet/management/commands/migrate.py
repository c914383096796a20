"""Migrations run as the role that owns the tables, or not at all."""

from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands import migrate
from django.db import connections


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
        super().handle(*args, **options)
