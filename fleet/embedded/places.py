"""Where the embedded server keeps its things; computed, nothing is touched."""

import hashlib
import os
import re
from dataclasses import dataclass
from pathlib import Path

from fleet.embedded.problems import EmbeddedDatabaseUnavailable

PORT = 5432  # only part of the socket's name: there is no TCP
SOCKET_NAME = f".s.PGSQL.{PORT}"

# A Unix address holds 108 bytes on Linux and 104 on macOS, with its end mark.
LONGEST_SOCKET_PATH_BYTES = 99

# Root's folders: what an unprivileged user can enter, unlike a home or a clone.
ROOT_FOLDERS = (Path("/var/lib/ropeseat"), Path("/var/tmp/ropeseat-root"))

# pg_ctl puts paths between double quotes in a shell command, and the server
# splits its list of socket directories at commas.
UNUSABLE_SIGNS = re.compile(r'["$`\\,\n\r]')


@dataclass(frozen=True, slots=True, kw_only=True)
class ServerPlaces:
    """The folders and files of one embedded server."""

    directory: Path
    socket: Path

    @property
    def data(self) -> Path:
        return self.directory / "data"

    @property
    def unfinished_data(self) -> Path:
        """Where a cluster is made before it gets its name."""
        return self.directory / "data.unfinished"

    @property
    def config(self) -> Path:
        return self.directory / "config"

    @property
    def log(self) -> Path:
        return self.directory / "log" / "postgresql.log"

    @property
    def lock(self) -> Path:
        return self.directory / "lock"

    @property
    def pid_file(self) -> Path:
        return self.data / "postmaster.pid"

    @property
    def socket_lock(self) -> Path:
        return self.socket / f"{SOCKET_NAME}.lock"


def root_folder() -> Path:
    """Return the folder under which root keeps servers and copies of binaries."""
    for folder in ROOT_FOLDERS:
        if os.access(folder if folder.exists() else folder.parent, os.W_OK):
            return folder
    return ROOT_FOLDERS[0]


def default_directory(*, project_root: Path) -> Path:
    """Return where the server of this copy of the project lives.

    An ordinary user keeps it in the project. For root it stands outside, because
    the unprivileged user that runs the server cannot enter a closed home.
    """
    if os.geteuid() != 0:
        return project_root.resolve() / ".ropeseat" / "database"
    return root_folder() / _short_name(project_root.resolve())


def places_of(directory: Path) -> ServerPlaces:
    """Return the places of the server in a directory.

    Raises EmbeddedDatabaseUnavailable if the path has signs that PostgreSQL's own
    start-up cannot pass on.
    """
    directory = directory.resolve()  # one server, one socket, whatever the spelling
    found = UNUSABLE_SIGNS.search(str(directory))
    if found:
        raise EmbeddedDatabaseUnavailable(
            f"The folder {str(directory)!r} has {found.group()!r} in its name, which "
            "PostgreSQL cannot take. Choose another in EMBEDDED_DATABASE_DIRECTORY."
        )
    return ServerPlaces(directory=directory, socket=socket_directory(directory))


def socket_directory(directory: Path) -> Path:
    """Return the folder of the socket: in the directory, or a short one instead."""
    usual = directory / "socket"
    if len(os.fsencode(usual / SOCKET_NAME)) <= LONGEST_SOCKET_PATH_BYTES:
        return usual
    # Not the temporary folder of the environment: every process must find the same.
    base = Path("/run" if os.geteuid() == 0 else "/tmp")
    return base / f"ropeseat-{_digest(directory)}"


def _short_name(path: Path) -> str:
    readable = re.sub(r"[^A-Za-z0-9_-]", "", path.name)[:20] or "project"
    return f"{readable}-{_digest(path)}"


def _digest(path: Path) -> str:
    owned = f"{os.geteuid()}:{path}".encode(errors="surrogateescape")
    return hashlib.sha256(owned).hexdigest()[:12]
