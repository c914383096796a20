"""A whole installation in real processes, whose parts can be killed one by one."""

import json
import os
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg

from fleet import embedded
from fleet.demo import ports
from fleet.embedded import liveness, places
from fleet.platform.queue import queue_schema

ROOT = Path(__file__).resolve().parents[2]
WAIT_S = 120

# Prints the tokens of a small contractor's people.
REGISTER = """
import django, json
django.setup()
from tests import factories
print(json.dumps(factories.cast(code="north").keys))
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One HTTP answer."""

    status: int
    headers: Any
    body: Any


@dataclass(slots=True, kw_only=True)
class Installation:
    """Database and broker are two servers, so that each can be away alone."""

    folder: Path
    keys: dict[str, str] = field(default_factory=dict)
    address: str = ""
    # The tree of files whose programs run.
    code: Path = ROOT
    # Of the worker.
    processes: int = 1

    @property
    def database(self) -> embedded.Server:
        return embedded.Server(directory=self.folder / "database", durable=False)

    @property
    def broker(self) -> embedded.Server:
        return embedded.Server(directory=self.folder / "broker", durable=False)

    @property
    def environment(self) -> dict[str, str]:
        return {
            "PATH": os.environ["PATH"],
            "DJANGO_SETTINGS_MODULE": "fleet.project.settings",
            "SECRET_KEY": "for this test only, " * 4,
            "ALLOWED_HOSTS": "127.0.0.1",
            "HTTPS": "no",
            "MEDIA_ROOT": str(self.folder / "media"),
            "EMBEDDED_DATABASE_DIRECTORY": str(self.database.directory),
            "CELERY_BROKER_URL": embedded.broker_url_for(
                directory=self.broker.directory
            ),
        }

    def install(
        self,
        *,
        register: str = REGISTER,
        start_migrated: Callable[[embedded.Server], bool] = lambda _: False,
    ) -> None:
        """Start both servers, make the tables and the queue, register people.

        `start_migrated` starts the database with its tables, or says that it cannot.
        """
        is_migrated = start_migrated(self.database)
        self.database.start()
        self.broker.start()
        queue_schema.install_at(
            owner_url=self.broker.url(role="owner"),
            broker_url=self.environment["CELERY_BROKER_URL"],
        )
        if not is_migrated:
            migrate = ("manage.py", "migrate", "-v0", "--database", "owner")
            self.run(sys.executable, *migrate)
        self.keys = json.loads(self.run(sys.executable, "-c", register))

    def run(self, *command: str) -> str:
        """Run a program to its end and return what it printed."""
        ended = subprocess.run(
            command,
            cwd=self.code,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert ended.returncode == 0, ended.stdout + ended.stderr
        return ended.stdout

    def call(self, *arguments: str) -> None:
        """Send one task to the worker, as beat would."""
        self.run(sys.executable, "-m", "celery", "-A", "fleet", "call", *arguments)

    @contextmanager
    def web(self):
        """Serve with two real workers inside the block."""
        with ports.listen(port=0) as listening:
            descriptor = listening.fileno()
            self.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
            with self._program(
                "web",
                *("gunicorn", "fleet.project.wsgi:application", "--workers", "2"),
                *("--bind", f"fd://{descriptor}", "--no-control-socket"),
                inherits=(descriptor,),
            ):
                wait_until(lambda: self.get("/health/ready").status == 200)
                yield

    @contextmanager
    def worker(self):
        """Run a real worker inside the block."""
        count = str(self.processes)
        with self._program(
            "worker", "celery", "-A", "fleet", "worker", "--concurrency", count
        ):
            yield

    @contextmanager
    def beat(self):
        """Run a real beat inside the block."""
        with self._program("beat", "celery", "-A", "fleet", "beat", "-l", "INFO"):
            yield

    @contextmanager
    def _program(self, name: str, *arguments: str, inherits: tuple[int, ...] = ()):
        with self.log(name).open("ab") as opened:
            running = subprocess.Popen(
                [sys.executable, "-m", *arguments],
                cwd=self.code,
                env=self.environment,
                stdout=opened,
                stderr=opened,
                pass_fds=inherits,
                start_new_session=True,
            )
        try:
            yield
        finally:
            os.killpg(running.pid, signal.SIGKILL)
            running.wait()

    def log(self, name: str) -> Path:
        """Return where programs of this name write."""
        return self.folder / f"{name}.log"

    def get(self, path: str) -> Answer:
        """Read as the office."""
        return self._ask(path, role="OFFICE")

    def upload(
        self, *references: str, at: str = "2026-05-04T10:00:00+01:00", mm: str = "12.9"
    ) -> Answer:
        """Send rope diameters under these references, as the technician."""
        readings = [
            {
                "reference": reference,
                "kind": "rope_diameter",
                "rope": number,
                "place": {"station": "car side", "direction": "1"},
                "value": mm,
                "unit": "mm",
            }
            for number, reference in enumerate(references, start=1)
        ]
        visit = {
            "reference": f"visit-{references[0]}",
            "machine": "MH-1",
            "visited_at": at,
            "readings": readings,
        }
        return self._ask("/api/v1/uploads", role="TECHNICIAN", body={"visits": [visit]})

    def _ask(self, path: str, *, role: str, body: Any = None) -> Answer:
        request = urllib.request.Request(
            self.address + path,
            data=None if body is None else json.dumps(body).encode(),
            headers={
                "Authorization": f"Bearer {self.keys[role]}",
                "Content-Type": "application/json",
            },
        )
        try:
            with urllib.request.urlopen(request, timeout=WAIT_S) as response:
                return _answer(response.status, response)
        except urllib.error.HTTPError as error:
            with error:
                return _answer(error.code, error)

    def query(self, statement: str) -> list[tuple[Any, ...]]:
        """Ask the database as its administrator, whom no policy holds back."""
        with psycopg.connect(self.database.url(role="admin")) as connection:
            return list(connection.execute(statement))

    def kill_database(self) -> None:
        """End the database as `pg_ctl stop -m immediate` does: no goodbye."""
        where = places.places_of(self.database.directory)
        os.kill(liveness.pid_in(where.pid_file), signal.SIGQUIT)


def _answer(status: int, response: Any) -> Answer:
    return Answer(
        status=status, headers=response.headers, body=json.loads(response.read())
    )


def wait_until(condition, *, within_s: float = WAIT_S) -> None:
    """Wait for a condition, and fail if it does not come."""
    deadline = time.monotonic() + within_s
    while not condition():
        assert time.monotonic() < deadline, f"not within {within_s} s"
        time.sleep(0.2)
