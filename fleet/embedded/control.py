"""Starting and stopping the server program, and what its log says if that fails."""

import shlex
from pathlib import Path

from fleet.embedded import access, places
from fleet.embedded.account import Account
from fleet.embedded.archive import Archive
from fleet.embedded.binaries import Binaries
from fleet.embedded.places import ServerPlaces
from fleet.embedded.problems import EmbeddedDatabaseUnavailable

# Recovery after a crash may take minutes; giving up early would look like a fault.
START_WAIT_S = 300
STOP_WAIT_S = 120
SPARE_S = 30

LOG_TAIL_LINES = 8
LOG_TAIL_BYTES = 4096
LONGEST_LOG_BYTES = 10_000_000


def start(
    *,
    where: ServerPlaces,
    programs: Binaries,
    runner: Account,
    durable: bool,
    archive: Archive | None = None,
) -> None:
    """Start the server and wait until it accepts connections.

    Raises EmbeddedDatabaseUnavailable with the end of its log.
    """
    _set_long_log_aside(where.log)
    if archive is not None:
        archive.prepare(where=where, runner=runner)
    _pg_ctl(
        *("start", "-w", "-t", str(START_WAIT_S)),
        *("-l", str(where.log)),
        *("-o", _options(where, durable=durable, archive=archive)),
        where=where,
        programs=programs,
        runner=runner,
    )


def stop(*, where: ServerPlaces, programs: Binaries, runner: Account) -> None:
    """Stop the server, ending its connections, and wait until it is gone.

    Raises EmbeddedDatabaseUnavailable.
    """
    _pg_ctl(
        *("stop", "-m", "fast", "-w", "-t", str(STOP_WAIT_S)),
        where=where,
        programs=programs,
        runner=runner,
    )


def _pg_ctl(
    action: str, *options: str, where: ServerPlaces, programs: Binaries, runner: Account
) -> None:
    ended = runner.run(
        [programs.program("pg_ctl"), action, "-D", where.data, *options],
        timeout_s=max(START_WAIT_S, STOP_WAIT_S) + SPARE_S,
    )
    if ended.returncode != 0:
        raise EmbeddedDatabaseUnavailable(
            f"PostgreSQL in {where.directory} did not {action}: "
            f"{ended.stdout.strip()}\nThe end of {where.log}:\n{_tail(where.log)}"
        )


def _options(where: ServerPlaces, *, durable: bool, archive: Archive | None) -> str:
    settings = {
        "listen_addresses": "",
        "port": str(places.PORT),
        "unix_socket_directories": str(where.socket),
        "unix_socket_permissions": "0700",
        "hba_file": str(where.config / access.HBA),
        "ident_file": str(where.config / access.IDENT),
        "timezone": "UTC",
        "log_timezone": "UTC",
    }
    if not durable:
        settings |= {"fsync": "off", "full_page_writes": "off"}
    if archive is not None:
        settings |= archive.settings(where=where)
    # pg_ctl hands its options to a shell.
    return " ".join(
        f"-c {shlex.quote(f'{name}={value}')}" for name, value in settings.items()
    )


def _set_long_log_aside(log: Path) -> None:
    if log.exists() and log.stat().st_size > LONGEST_LOG_BYTES:
        log.replace(log.with_suffix(".log.old"))


def _tail(log: Path) -> str:
    try:
        text = log.read_bytes()[-LOG_TAIL_BYTES:].decode(errors="replace")
    except OSError:
        return "(no log)"
    return "\n".join(text.splitlines()[-LOG_TAIL_LINES:])
