"""The data folder: made in one step, and only opened by the version that made it."""

import shutil

from fleet.embedded import folders
from fleet.embedded.account import Account
from fleet.embedded.addresses import ADMIN
from fleet.embedded.binaries import Binaries
from fleet.embedded.places import ServerPlaces
from fleet.embedded.problems import EmbeddedDatabaseUnavailable

OWNER_ONLY = 0o700
MAKING_TIMEOUT_S = 300
FIRST_WITH_BUILTIN_LOCALES = 17


def make(
    *, places: ServerPlaces, binaries: Binaries, runner: Account, durable: bool
) -> None:
    """Make the data folder if there is none.

    It is made under another name and renamed when complete, so a first run that
    was cut off leaves nothing that looks like a database. Raises
    EmbeddedDatabaseUnavailable.
    """
    if places.data.exists():
        return
    shutil.rmtree(places.unfinished_data, ignore_errors=True)
    folders.make(places.unfinished_data, mode=OWNER_ONLY, owner=runner)
    ended = runner.run(
        _initdb(places=places, binaries=binaries, durable=durable),
        timeout_s=MAKING_TIMEOUT_S,
    )
    if ended.returncode != 0:
        raise EmbeddedDatabaseUnavailable(
            f"PostgreSQL could not make its data in {places.directory}: "
            f"{ended.stdout.strip()} {folders.REMEDY}"
        )
    places.unfinished_data.rename(places.data)


def check_version(*, places: ServerPlaces, binaries: Binaries) -> None:
    """Raise EmbeddedDatabaseUnavailable if other binaries made the data."""
    try:
        made_by = (places.data / "PG_VERSION").read_text().strip()
    except OSError as problem:
        raise EmbeddedDatabaseUnavailable(
            f"{places.data} holds no PostgreSQL data ({problem}). Move it away to "
            "begin anew."
        ) from problem
    if made_by != str(binaries.major):
        raise EmbeddedDatabaseUnavailable(
            f"The data in {places.data} was made by PostgreSQL {made_by}, and the "
            f"programs in {binaries.folder} are PostgreSQL {binaries.major}. Name "
            f"programs of version {made_by} in EMBEDDED_DATABASE_BINARIES, make a dump "
            "with pg_dump, move the folder away and restore the dump; or only move it "
            "away to begin anew."
        )


def _initdb(*, places: ServerPlaces, binaries: Binaries, durable: bool) -> list[str]:
    return [
        str(binaries.program("initdb")),
        f"--pgdata={places.unfinished_data}",
        f"--username={ADMIN}",
        "--auth-local=peer",
        "--auth-host=reject",
        "--data-checksums",
        "--encoding=UTF8",
        *_locale(binaries.major),
        "--no-instructions",
        *(() if durable else ("--no-sync",)),
    ]


def _locale(major: int) -> tuple[str, ...]:
    if major < FIRST_WITH_BUILTIN_LOCALES:
        return ("--locale=C.UTF-8",)
    # The same order of words on every machine, whatever locales it has.
    return ("--locale-provider=builtin", "--builtin-locale=C.UTF-8", "--locale=C")
