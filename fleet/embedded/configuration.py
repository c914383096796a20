"""The embedded server that the environment describes."""

from pathlib import Path

from fleet.embedded import places
from fleet.embedded.archive import Archive
from fleet.embedded.server import Server
from fleet.platform import env


def configured(*, project_root: Path) -> Server:
    """Return the server of this copy of the project; nothing is started.

    EMBEDDED_DATABASE_DIRECTORY, EMBEDDED_DATABASE_BINARIES and
    EMBEDDED_DATABASE_USER override where it lives, the folder of its programs, and
    who runs it for root; EMBEDDED_DATABASE_ARCHIVE is where its log is kept besides.
    """
    directory = env.env_text("EMBEDDED_DATABASE_DIRECTORY", default=None)
    binaries = env.env_text("EMBEDDED_DATABASE_BINARIES", default=None)
    archive = env.env_text("EMBEDDED_DATABASE_ARCHIVE", default=None)
    return Server(
        directory=Path(directory)
        if directory
        else places.default_directory(project_root=project_root),
        binaries=Path(binaries) if binaries else None,
        user=env.env_text("EMBEDDED_DATABASE_USER", default=None),
        archive=Archive(folder=Path(archive).resolve()) if archive else None,
    )
