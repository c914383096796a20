"""The web server, the worker and beat: real programs in process groups of their own."""

import socket
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

from fleet.demo import leftovers
from fleet.demo.defaults import PROJECT_ROOT
from fleet.demo.guard import Guard
from fleet.demo.places import DemoPlaces
from fleet.demo.problems import DemoStopped

WEB_WORKERS = 2
TASK_WORKERS = 2
MOST_RESTARTS = 3
LOG_TAIL_BYTES = 2000


@dataclass(slots=True, kw_only=True)
class Program:
    """One program of the demo, running or ended."""

    name: str
    command: Sequence[str]
    log: Path
    inherits: tuple[int, ...] = ()
    restarts: int = 0
    running: subprocess.Popen[bytes] | None = None

    def start(self) -> int:
        """Start the program and return its process group."""
        with self.log.open("ab") as log:
            self.running = _start(self.command, log=log, inherits=self.inherits)
        return self.running.pid

    def tail(self) -> str:
        """Return the end of the program's log."""
        return self.log.read_bytes()[-LOG_TAIL_BYTES:].decode(errors="replace")


@dataclass(slots=True, kw_only=True)
class Programs:
    """All programs of one demo, started together and watched."""

    places: DemoPlaces
    guard: Guard
    address: str
    programs: list[Program] = field(default_factory=list)

    def start(self, *, listening: socket.socket) -> None:
        """Start the web server, the worker and beat."""
        self.programs = [
            _web(self.places, listening),
            _celery(self.places, "worker", "--concurrency", str(TASK_WORKERS)),
            _celery(self.places, "beat"),
        ]
        for program in self.programs:
            self._start(program)

    def look_after(self) -> list[str]:
        """Start programs that died again; return a sentence about each.

        Raises DemoStopped if one has died too often.
        """
        said = []
        for program in self.programs:
            ended = program.running.poll() if program.running else None
            if ended is None:
                continue
            if program.restarts >= MOST_RESTARTS:
                raise DemoStopped(
                    f"The {program.name} ended {program.restarts + 1} times, last with "
                    f"code {ended}. The end of {program.log}:\n{program.tail()}"
                )
            program.restarts += 1
            self._start(program)
            said.append(
                f"the {program.name} ended with code {ended} and was started again"
            )
        return said

    def reap(self) -> None:
        """Take note of programs that ended, so that none stays as a zombie."""
        for program in self.programs:
            if program.running is not None:
                program.running.poll()

    def _start(self, program: Program) -> None:
        self.guard.watch(program.start())
        started = [p.running.pid for p in self.programs if p.running is not None]
        leftovers.note(self.places, started=started, address=self.address)


def _web(places: DemoPlaces, listening: socket.socket) -> Program:
    descriptor = listening.fileno()
    return Program(
        name="web server",
        command=(
            *(sys.executable, "-m", "gunicorn"),
            *("--config", "python:fleet.project.gunicorn_settings"),
            *("--workers", str(WEB_WORKERS), "--bind", f"fd://{descriptor}"),
            *("--graceful-timeout", "5", "--timeout", "120", "--no-control-socket"),
            *("--access-logfile", str(places.logs / "web-access.log")),
        ),
        log=places.logs / "web.log",
        inherits=(descriptor,),
    )


def _celery(places: DemoPlaces, *arguments: str) -> Program:
    name = arguments[0]
    return Program(
        name=name,
        command=(
            *(sys.executable, "-m", "celery", "-A", "fleet", *arguments),
            *("--loglevel", "INFO"),
        ),
        log=places.logs / f"{name}.log",
    )


def _start(
    command: Sequence[str], *, log: IO[bytes], inherits: tuple[int, ...]
) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        command,
        cwd=PROJECT_ROOT,
        stdin=subprocess.DEVNULL,
        stdout=log,
        stderr=log,
        pass_fds=inherits,
        # Ctrl-C goes to the demo alone, which then stops the others in order.
        start_new_session=True,
    )
