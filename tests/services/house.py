"""An installation on a real PostgreSQL server, with a broker of its choice."""

import json
import sys
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from fleet.platform.database import roles
from tests.fleet import installation
from tests.services.postgresql import Server

LEASE_S = 5


@dataclass(slots=True, kw_only=True)
class House(installation.Installation):
    """Web, workers and beat as real processes; the server is not ours to stop."""

    server: Server
    broker_url: str
    more: dict[str, str] = field(default_factory=dict)

    @property
    def environment(self) -> dict[str, str]:
        usual = installation.Installation.environment.fget(self)  # type: ignore[attr-defined]
        del usual["EMBEDDED_DATABASE_DIRECTORY"]
        return {
            **usual,
            "DATABASE_URL": self.server.url(roles.APP),
            "DATABASE_OWNER_URL": self.server.url(roles.OWNER),
            "CELERY_BROKER_URL": self.broker_url,
            "JOB_LEASE_S": str(LEASE_S),
            **self.more,
        }

    def install(self) -> None:
        """Make tables and what the broker needs; register people."""
        self.manage("migrate", "-v0", "--database", "owner")
        self.manage("install_queue")
        self.keys = json.loads(self.run(sys.executable, "-c", installation.REGISTER))

    def manage(self, *arguments: str) -> str:
        return self.run(sys.executable, "manage.py", *arguments)

    @contextmanager
    def with_broker(self, url: str):
        """Speak through another broker inside the block."""
        before, self.broker_url = self.broker_url, url
        try:
            self.manage("install_queue")
            yield self
        finally:
            self.broker_url = before

    def query(self, statement: str, *values: Any) -> list[tuple[Any, ...]]:
        with self.server.connect() as connection:
            return list(connection.execute(statement, values))

    def jobs(self, machine: str = "MH-1") -> list[tuple[Any, ...]]:
        """Return (state, attempts) of the machine's assessments, the newest last."""
        return self.query(
            "SELECT state, attempts FROM fleet_job WHERE kind LIKE '%%assess' "
            "AND subject_id = (SELECT id FROM fleet_machine WHERE code = %s) "
            "ORDER BY id",
            machine,
        )

    def is_idle(self) -> bool:
        """Tell whether no job waits or runs."""
        return not self.query(
            "SELECT 1 FROM fleet_job WHERE state IN ('QUEUED', 'RUNNING')"
        )

    def findings_of(self, reference: str) -> int:
        """Return how many standing findings rest on a reading."""
        return self.query(
            "SELECT count(*) FROM inspections_finding f "
            "JOIN inspections_reading r ON r.id = ANY (f.readings) "
            "WHERE r.reference = %s AND f.current",
            reference,
        )[0][0]
