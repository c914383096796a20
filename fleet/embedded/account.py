"""The operating-system user that the server runs as.

PostgreSQL refuses to run as root. An ordinary user runs it as itself; root hands
it to an unprivileged user that already exists. No user is ever created.
"""

import os
import pwd
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fleet.embedded.problems import EmbeddedDatabaseUnavailable

USUAL_NAMES = ("postgres", "nobody")
FILES_FOR_OWNER_ONLY = 0o077

# Variables such as PGPORT or PGDATA of the caller must not steer the server.
ENVIRONMENT = {"PATH": "/usr/local/bin:/usr/bin:/bin", "LC_ALL": "C"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """An existing user of this machine."""

    name: str
    uid: int
    gid: int

    @property
    def is_current(self) -> bool:
        """Whether this process already is that user."""
        return self.uid == os.geteuid()

    def run(
        self, command: Sequence[str | Path], *, timeout_s: float
    ) -> subprocess.CompletedProcess[str]:
        """Run a command as this user and return how it ended, with its output.

        Raises EmbeddedDatabaseUnavailable if it cannot be started or hangs.
        """
        try:
            return subprocess.run(
                [str(part) for part in command],
                cwd="/",
                env=ENVIRONMENT,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                errors="replace",
                timeout=timeout_s,
                check=False,
                umask=FILES_FOR_OWNER_ONLY,
                **self._change_of_user(),
            )
        except (OSError, subprocess.SubprocessError) as problem:
            raise EmbeddedDatabaseUnavailable(
                f"{command[0]} cannot be run as user {self.name}: {problem}."
            ) from problem

    def _change_of_user(self) -> dict[str, Any]:
        if self.is_current:
            return {}
        return {"user": self.uid, "group": self.gid, "extra_groups": []}


def current() -> Account:
    """Return the user that this process runs as."""
    try:
        return _account(pwd.getpwuid(os.geteuid()))
    except KeyError:
        raise EmbeddedDatabaseUnavailable(
            f"User id {os.geteuid()} has no name on this machine, and PostgreSQL needs "
            "one. Add it to /etc/passwd, or give a server with DATABASE_URL."
        ) from None


def choose(*, wanted: str | None, data: Path) -> Account:
    """Return the user to run the server as.

    Who is not root runs it as itself. Root takes the wanted user, else the one
    that owns the data already there, else the first usual one that exists.
    """
    if os.geteuid() != 0:
        return current()
    names = (wanted,) if wanted else (*_owner_of(data), *USUAL_NAMES)
    for name in names:
        try:
            account = _account(pwd.getpwnam(name))
        except KeyError:
            continue
        if account.uid != 0:
            return account
    raise EmbeddedDatabaseUnavailable(
        f"PostgreSQL does not run as root, and none of {', '.join(names)} is an "
        "unprivileged user here. Name an existing one in EMBEDDED_DATABASE_USER, or "
        "start this as an ordinary user."
    )


def _owner_of(data: Path) -> tuple[str, ...]:
    try:
        return (pwd.getpwuid(data.stat().st_uid).pw_name,)
    except (OSError, KeyError):
        return ()


def _account(entry: pwd.struct_passwd) -> Account:
    return Account(name=entry.pw_name, uid=entry.pw_uid, gid=entry.pw_gid)
