"""A PostgreSQL server as a distribution installs it: TCP, passwords, three roles."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg

from fleet.embedded import account, folders
from fleet.platform.database import roles
from tests.services import programs

ADMINISTRATOR = "postgres"
LONG_S = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A running server; `url` names one of its roles."""

    port: int

    def url(
        self,
        role: str,
        *,
        database: str = roles.DATABASE,
        scheme: str = "postgresql",
    ) -> str:
        where = f"127.0.0.1:{self.port}/{database}"
        return f"{scheme}://{role}:{programs.PASSWORD}@{where}"

    def connect(
        self, role: str = ADMINISTRATOR, *, database: str = roles.DATABASE
    ) -> psycopg.Connection[Any]:
        """Connect in autocommit."""
        return psycopg.connect(self.url(role, database=database), autocommit=True)


@contextmanager
def running(folder: Path) -> Iterator[Server]:
    """Make a server with our roles and database in a folder, and stop it at the end."""
    binaries = programs.newest("usr/lib/postgresql/*/bin")
    data = folder / "data"
    runner = account.choose(wanted=None, data=data)
    folders.make(data, mode=0o700, owner=runner)
    secret = folder / "password"
    secret.write_text(programs.PASSWORD)
    secret.chmod(0o644)
    server = Server(port=programs.free_port())
    _run(
        runner,
        *(binaries / "initdb", "-D", data, "-U", ADMINISTRATOR, "--no-sync"),
        *("--auth=scram-sha-256", f"--pwfile={secret}"),
        *("--encoding=UTF8", "--locale=C.UTF-8"),
    )
    with _started(server, data=data, runner=runner):
        _prepare(server)
        yield server


@contextmanager
def following(server: Server, folder: Path) -> Iterator[Server]:
    """Make a standby of a server in a folder, following it; stop it at the end.

    Its roles and passwords are the server's.
    """
    data = folder / "standby"
    runner = account.choose(wanted=None, data=data)
    folders.make(data, mode=0o700, owner=runner)
    source = f"{server.url(ADMINISTRATOR, database='postgres')}"
    base_backup = programs.newest("usr/lib/postgresql/*/bin") / "pg_basebackup"
    _run(
        runner,
        *(base_backup, "-D", data, "-d", source, "--checkpoint=fast", "--no-sync"),
        "--write-recovery-conf",
    )
    standby = Server(port=programs.free_port())
    with _started(standby, data=data, runner=runner):
        yield standby


def promote(folder: Path) -> None:
    """Make the standby in a folder a server that follows nobody."""
    data = folder / "standby"
    runner = account.choose(wanted=None, data=data)
    pg_ctl = programs.newest("usr/lib/postgresql/*/bin") / "pg_ctl"
    _run(runner, pg_ctl, "promote", "-D", data, "-w")


@contextmanager
def _started(server: Server, *, data: Path, runner: account.Account) -> Iterator[None]:
    pg_ctl = programs.newest("usr/lib/postgresql/*/bin") / "pg_ctl"
    options = (
        f"-p {server.port} -c listen_addresses=127.0.0.1 "
        "-c unix_socket_directories='' -c fsync=off"
    )
    _run(runner, pg_ctl, "start", "-D", data, "-l", data / "log", "-w", "-o", options)
    try:
        yield
    finally:
        # One that a test has killed is gone.
        if (data / "postmaster.pid").exists():
            _run(runner, pg_ctl, "stop", "-D", data, "-m", "fast", "-w")


def _prepare(server: Server) -> None:
    names = (roles.OWNER, roles.APP, roles.QUEUE)
    with server.connect(database="postgres") as administrator:
        roles.bootstrap(
            administrator, passwords=dict.fromkeys(names, programs.PASSWORD)
        )
    with server.connect(roles.OWNER) as owner:
        roles.prepare_database(owner)


def _run(runner: account.Account, *command: str | Path) -> None:
    ended = runner.run(command, timeout_s=LONG_S)
    if ended.returncode != 0:
        raise RuntimeError(ended.stdout)
