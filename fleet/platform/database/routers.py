"""Migrations belong to the role that owns the tables."""

from typing import Any


class OwnerMigrates:
    """Let schema changes run on the alias "owner" only."""

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool:
        return db == "owner"
