"""Files on a disk: which of them is which, read for bringing in."""

import zipfile
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path

from fleet.platform.errors import TooLarge
from fleet.register.exchange.importing import File
from fleet.register.exchange.problems import NotATable
from fleet.register.exchange.register import REGISTER, RESOURCES

# Of a packed file, together: a small file must not become a large one in memory.
MOST_BYTES = 200_000_000
_PIECE_BYTES = 1_000_000


class TooMuchPacked(TooLarge):
    """The packed file holds more than is taken at once."""

    code = "too-much-packed"


class NotOfTheRegister(NotATable):
    """A file's name is not one of the register's."""

    code = "not-of-the-register"


def read_files(*, paths: Sequence[Path]) -> list[File]:
    """Return the register's files found at the paths, in the order to bring them in.

    A path is a file named like machines.csv, a folder or a ZIP file of such files.
    Raises NotOfTheRegister for a file of another name, or one that is there twice,
    NotATable for a broken ZIP file, TooMuchPacked for one that holds too much.
    """
    found: dict[str, bytes] = {}
    for path in paths:
        for name, content in _contents(path):
            resource = name.removesuffix(".csv")
            if resource not in RESOURCES or not name.endswith(".csv"):
                taken = ", ".join(f"{each}.csv" for each in RESOURCES)
                raise NotOfTheRegister(f"{name} is none of {taken}")
            if resource in found:
                raise NotOfTheRegister(f"{name} is there twice")
            found[resource] = content
    return [
        File(resource=resource, content=found[resource.name])
        for resource in REGISTER
        if resource.name in found
    ]


def _contents(path: Path) -> list[tuple[str, bytes]]:
    if path.is_dir():
        files = sorted(path.glob("*.csv"))
        return [(file.name, file.read_bytes()) for file in files]
    if path.suffix == ".zip":
        try:
            with zipfile.ZipFile(path) as archive:
                return list(_unpacked(archive))
        except (zipfile.BadZipFile, zlib.error, RuntimeError) as error:
            # RuntimeError: an entry that wants a password.
            raise NotATable(f"{path.name} cannot be unpacked: {error}") from error
    return [(path.name, path.read_bytes())]


def _unpacked(archive: zipfile.ZipFile) -> Iterator[tuple[str, bytes]]:
    """Yield the entries; what is counted is what comes out, not what is claimed."""
    if len(archive.namelist()) > len(RESOURCES):
        raise TooMuchPacked(
            f"{len(archive.namelist())} files; at most {len(RESOURCES)} are taken"
        )
    left = MOST_BYTES
    for name in archive.namelist():
        pieces = []
        with archive.open(name) as entry:
            while piece := entry.read(_PIECE_BYTES):
                left -= len(piece)
                if left < 0:
                    raise TooMuchPacked(
                        f"unpacked it is more than {MOST_BYTES:,} bytes"
                    )
                pieces.append(piece)
        yield name, b"".join(pieces)
