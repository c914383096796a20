"""A whole service with its own database server, to which harm is done."""

import json
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg

from fleet import embedded
from fleet.embedded import account, binaries, folders, liveness, places
from fleet.embedded.archive import PROGRAMS, RECIPIENTS
from tests.fleet.installation import ROOT, Installation, wait_until

LONG_S = 600
DRIVER_ENDS_WITHIN_S = 60
# Waits until somebody should have said to have heard of a stop, an hour or more; until
# a file that was taken out is removed, days later.
LATER = "('inspections.tasks.escalate_stop', 'fleet.tasks.remove_export')"
PENDING = f"""
SELECT count(*) FROM fleet_job WHERE state IN ('QUEUED', 'RUNNING')
AND kind NOT IN {LATER}
"""


@dataclass(slots=True, kw_only=True)
class Service(Installation):
    """Web, worker and beat on one server of PostgreSQL, which is also the broker."""

    archived: bool = False
    timeout_s: int = 60
    programs: Path | None = None
    more: dict[str, str] = field(default_factory=dict)

    @property
    def archive(self) -> Path:
        return self.folder / "archive"

    @property
    def identity(self) -> Path:
        """The private key, which lies elsewhere until something is restored."""
        return self.folder / "identity.txt"

    @property
    def database(self) -> embedded.Server:
        archive = embedded.Archive(folder=self.archive, timeout_s=self.timeout_s)
        return embedded.Server(
            directory=self.folder / "database",
            binaries=self.programs,
            archive=archive if self.archived else None,
        )

    @property
    def broker(self) -> embedded.Server:
        return self.database

    @property
    def environment(self) -> dict[str, str]:
        usual = Installation.environment.fget(self)  # type: ignore[attr-defined]
        return {**usual, "REQUESTS_PER_MINUTE": "0", "JOB_LEASE_S": "5", **self.more}

    @property
    def runner(self) -> account.Account:
        data = places.places_of(self.database.directory).data
        return account.choose(wanted=None, data=data)

    def make_keys(self) -> None:
        """Make the pair of keys that the archive is sealed with."""
        folders.make(self.archive, mode=0o711, owner=self.runner)
        self._run("age-keygen", "-o", str(self.identity))
        made = self._run("age-keygen", "-y", str(self.identity))
        (self.archive / RECIPIENTS).write_text(made)
        self.identity.chmod(0o644)

    def keep(self, program: str, *arguments: str) -> str:
        """Run one of the shell programs as the user of the database server."""
        where = places.places_of(self.database.directory)
        found = binaries.find(wanted=self.programs, runner=self.runner)
        told = self.runner.run(
            [
                *("env", f"PATH={found.folder}:/usr/local/bin:/usr/bin:/bin"),
                *(f"PGHOST={where.socket}", "PGUSER=ropeseat_admin", "bash"),
                *(str(where.config / PROGRAMS.name / program), *arguments),
            ],
            timeout_s=LONG_S,
        )
        if told.returncode:
            raise RuntimeError(f"{program}: {told.stdout}")
        return told.stdout.strip()

    def keep_files(self, program: str, *arguments: str) -> str:
        """Run one of the shell programs as the user of web and workers."""
        return self._run(
            "bash", str(ROOT / ".docker" / "recovery" / program), *arguments
        ).strip()

    def destroy(self) -> None:
        """Kill the server without a goodbye and remove its data, and all files."""
        where = places.places_of(self.database.directory)
        self._kill_and_wait()
        shutil.rmtree(where.data)
        shutil.rmtree(self.environment["MEDIA_ROOT"], ignore_errors=True)

    def kill_and_start(self) -> None:
        """Kill the server without a goodbye, and start it again on its data."""
        self._kill_and_wait()
        self.database.start()

    def _kill_and_wait(self) -> None:
        where = places.places_of(self.database.directory)
        pid = liveness.pid_in(where.pid_file)
        self.kill_database()
        wait_until(lambda: not liveness.is_our_server(pid, places=where))

    def command(self, statement: str) -> None:
        """Have the database's administrator do something."""
        with psycopg.connect(self.database.url(role="admin")) as connection:
            connection.execute(statement)

    @contextmanager
    def serving(self, listening: socket.socket) -> Iterator[None]:
        """Serve on a socket that outlives the server, inside the block."""
        descriptor = listening.fileno()
        with self._program(
            "web",
            *("gunicorn", "fleet.project.wsgi:application", "--workers", "2"),
            *("--bind", f"fd://{descriptor}", "--no-control-socket"),
            inherits=(descriptor,),
        ):
            yield

    @contextmanager
    def driven(self, prefix: str) -> Iterator[Path]:
        """Have another process send readings inside the block; yields its notes."""
        notes = self.folder / f"{prefix}.jsonl"
        stop = notes.with_suffix(".stop")
        stop.unlink(missing_ok=True)
        driver = subprocess.Popen(self._driver("drive", notes, prefix), cwd=ROOT)
        try:
            yield notes
        finally:
            stop.touch()
            try:
                ended = driver.wait(timeout=DRIVER_ENDS_WITHIN_S)
            finally:
                driver.kill()
        if ended:
            raise RuntimeError(f"the driver ended with {ended}")

    def end_driver(self, prefix: str) -> None:
        """Let the driver end its last upload; `driven` waits for it."""
        (self.folder / f"{prefix}.stop").touch()

    def send_again(self, notes: Path, *, prefix: str) -> None:
        """Have another process send everything of the notes once more."""
        self._run(*self._driver("again", notes, prefix))

    def _driver(self, act: str, notes: Path, prefix: str) -> list[str]:
        key = self.keys["TECHNICIAN"]
        program = [sys.executable, "-m", "tests.rehearsals.driver", act]
        return [*program, self.address, key, str(notes), prefix]

    def judged(self, notes: Path, *more: str) -> dict[str, Any]:
        """Have another process compare notes and database."""
        url = self.database.url(role="admin")
        command = [sys.executable, "-m", "tests.rehearsals.judge", url, str(notes)]
        found: dict[str, Any] = json.loads(self._run(*command, *more))
        return found

    def _run(self, *command: str) -> str:
        ended = subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, check=False
        )
        if ended.returncode:
            raise RuntimeError(f"{command[:3]}: {ended.stdout}{ended.stderr}")
        return ended.stdout
