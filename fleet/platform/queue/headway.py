"""How far a long job has come, told on a connection of its own."""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.db import connection

from fleet.platform.models import Job

HOLD_EVERY = timedelta(seconds=2)


class Headway:
    """How far a job has come: told as it goes, and its lease held meanwhile.

    It has a connection of its own: what is told is seen at once, whatever transaction
    the work itself is in.
    """

    def __init__(self, job: Job, *, clock: Callable[[], datetime]) -> None:
        self.job = job
        self.clock = clock
        self.told: tuple[int | None, int | None] = (None, None)
        self.told_at = clock()
        self.connection = connection.copy()

    def tell(self, done: int, parts: int) -> None:
        """Say how many parts of how many are done."""
        self.told = (done, parts)
        self._write()

    def hold(self) -> None:
        """Go on holding the lease; cheap enough to be called for every piece."""
        if self.clock() - self.told_at > HOLD_EVERY:
            self._write()

    def close(self) -> None:
        """Let go of the connection."""
        self.connection.close()

    def _write(self) -> None:
        self.told_at = self.clock()
        until = self.told_at + timedelta(seconds=settings.JOB_LEASE_S)
        with self.connection.cursor() as cursor:
            cursor.execute(_TELL, [*self.told, until, self.job.pk, self.job.attempts])


_TELL = """
UPDATE fleet_job SET parts_done = %s, parts = %s, lease_until = %s
WHERE id = %s AND attempts = %s AND state = 'RUNNING'
"""
