"""Keeping the write-ahead log elsewhere, sealed, so that any minute can be restored."""

import shlex
import shutil
from dataclasses import dataclass
from pathlib import Path

from fleet.embedded import folders
from fleet.embedded.account import Account
from fleet.embedded.places import ServerPlaces
from fleet.embedded.problems import EmbeddedDatabaseUnavailable

PROGRAMS = Path(__file__).resolve().parents[2] / ".docker" / "recovery"
RECIPIENTS = "recipients.txt"
RUN_BY_ALL = 0o755
OWNER_ONLY = 0o700
# What is written in a quiet minute is kept no later than this.
USUAL_TIMEOUT_S = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Archive:
    """A folder with the public keys that everything in it is sealed for."""

    folder: Path
    timeout_s: int = USUAL_TIMEOUT_S

    def prepare(self, *, where: ServerPlaces, runner: Account) -> None:
        """Lay the programs where the server's user can run them.

        Raises EmbeddedDatabaseUnavailable where nobody said whom to seal for, or the
        program that seals is not there.
        """
        if not (self.folder / RECIPIENTS).is_file():
            raise EmbeddedDatabaseUnavailable(
                f"{self.folder / RECIPIENTS} is not there. The public key that "
                "`age-keygen -o identity.txt` prints belongs into it. Keep "
                "identity.txt elsewhere: nothing of the archive is read without it."
            )
        if shutil.which("age") is None:
            raise EmbeddedDatabaseUnavailable(
                "The program age is not installed, which seals the archive."
            )
        folders.check_can_enter(self.folder / "wal", runner=runner)
        for name in ("wal", "sums", "base"):
            folders.make(self.folder / name, mode=OWNER_ONLY, owner=runner)
        programs = where.config / PROGRAMS.name
        shutil.rmtree(programs, ignore_errors=True)
        folders.make(programs, mode=RUN_BY_ALL)
        for program in PROGRAMS.iterdir():
            shutil.copyfile(program, programs / program.name)
            (programs / program.name).chmod(RUN_BY_ALL)

    def settings(self, *, where: ServerPlaces) -> dict[str, str]:
        """Return the server's settings that keep its log here."""
        program = shlex.quote(str(where.config / PROGRAMS.name / "keep-wal"))
        folder = shlex.quote(str(self.folder))
        return {
            "archive_mode": "on",
            "archive_command": f"bash {program} {folder} %p %f",
            "archive_timeout": str(self.timeout_s),
        }
