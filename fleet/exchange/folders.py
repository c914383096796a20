"""Files on a disk: which of them is which, read for bringing in."""

import zipfile
from collections.abc import Sequence
from pathlib import Path

from fleet.exchange.importing import File
from fleet.exchange.problems import NotATable
from fleet.exchange.register import REGISTER, RESOURCES


class NotOfTheRegister(NotATable):
    """A file's name is not one of the register's."""

    code = "not-of-the-register"


def read_files(*, paths: Sequence[Path]) -> list[File]:
    """Return the register's files found at the paths, in the order to bring them in.

    A path is a file named like machines.csv, a folder or a ZIP file of such files.
    Raises NotOfTheRegister for a file of another name, or one that is there twice.
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
        with zipfile.ZipFile(path) as archive:
            return [(name, archive.read(name)) for name in archive.namelist()]
    return [(path.name, path.read_bytes())]
