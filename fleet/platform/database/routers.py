"""Migrations belong to the owner of the tables; long reads may leave the server."""

from typing import Any

from fleet.platform.database import standby


class OwnerMigrates:
    """Let schema changes run on the alias "owner" only."""

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool:
        return db == "owner"


class StandbyReads:
    """Let reads follow `standby.read`; whatever is written goes to the server."""

    def db_for_read(self, model: object, **hints: Any) -> str | None:
        return standby.STANDBY if standby.alias() == standby.STANDBY else None

    def db_for_write(self, model: object, **hints: Any) -> str | None:
        return standby.SERVER if standby.alias() == standby.STANDBY else None
