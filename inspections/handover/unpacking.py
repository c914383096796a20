"""A hand-over's file opened: whole, as its manifest says, or refused."""

import hashlib
import json
import uuid
import zipfile
from dataclasses import dataclass
from datetime import date
from typing import IO, Any

from fleet.platform.errors import Unprocessable
from inspections.handover import packing, tables

CAUTIONS = "CAUTIONS.txt"
# A machine with decades of history and its photos; what is larger is none.
MOST_BYTES = 2_000_000_000
MOST_FILES = 20_000
# Rows are held in memory; a hundred thousand readings with all their fields are less.
MOST_BYTES_OF_ROWS = 64_000_000
# What a telephone makes is a few; a photo is unpacked whole.
MOST_BYTES_OF_A_PHOTO = 25_000_000
_SIDE_FILES = {packing.MANIFEST, CAUTIONS}


class NotAHandOver(Unprocessable):
    """This is no whole file of a hand-over."""

    code = "not-a-hand-over"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedFile:
    """What the file says of itself, and its rows by table."""

    number: uuid.UUID
    house: str
    word_by: str
    word_on: date
    words: str
    machine: str
    digest: str
    rows: dict[str, list[dict[str, Any]]]
    archive: zipfile.ZipFile

    def photo(self, origin_id: int) -> bytes:
        """Return a photo's bytes, which were looked at already."""
        return self.archive.read(packing.photo_name(origin_id))


def opened(file: IO[bytes]) -> OpenedFile:
    """Open a file and compare all of it with its manifest. Raises NotAHandOver."""
    try:
        archive = zipfile.ZipFile(file)
        return _opened(archive)
    except NotAHandOver:
        raise
    # What zipfile and zlib raise on a broken file is not a closed list.
    except Exception as problem:
        raise NotAHandOver(
            f"the file is cut off or changed ({type(problem).__name__})"
        ) from problem


def _opened(archive: zipfile.ZipFile) -> OpenedFile:
    sizes = {entry.filename: entry.file_size for entry in archive.infolist()}
    if len(sizes) > MOST_FILES or sum(sizes.values()) > MOST_BYTES:
        raise NotAHandOver("the file unpacks to more than is taken")
    photos = {name for name in sizes if name.startswith("photos/")}
    of_rows = sum(size for name, size in sizes.items() if name not in photos)
    largest = max((sizes[name] for name in photos), default=0)
    if of_rows > MOST_BYTES_OF_ROWS or largest > MOST_BYTES_OF_A_PHOTO:
        raise NotAHandOver("a part of the file unpacks to more than is taken")
    manifest = json.loads(archive.read(packing.MANIFEST))
    if manifest["format"] != packing.FORMAT or manifest["version"] != packing.VERSION:
        raise NotAHandOver("the file is of another kind or a later version")
    files = manifest["files"]
    if set(sizes) != set(files) | _SIDE_FILES or len(sizes) != len(archive.infolist()):
        raise NotAHandOver("the file has not the parts that it names")
    for name, said in files.items():
        digest = hashlib.sha256(archive.read(name)).hexdigest()
        if (sizes[name], digest) != (said["bytes"], said["sha256"]):
            raise NotAHandOver(f"{name} is not what was packed")
    rows = {table.name: _rows(archive, table) for table in tables.ALL}
    if photos != {packing.photo_name(row["id"]) for row in rows["photos"]}:
        raise NotAHandOver("photos and their files do not belong together")
    if len(rows["machine"]) != 1:
        raise NotAHandOver("the file is of one machine")
    word = manifest["owner_word"]
    return OpenedFile(
        number=uuid.UUID(manifest["number"]),
        house=_text(manifest["from"]["contractor"], 200),
        word_by=_text(word["by"], 200),
        word_on=date.fromisoformat(word["on"]),
        words=_text(word["words"], 1000),
        machine=_text(manifest["machine"], 50),
        digest=packing.digest_of(files),
        rows=rows,
        archive=archive,
    )


def _rows(archive: zipfile.ZipFile, table: tables.HandedTable) -> list[dict[str, Any]]:
    names = {"id", *(each.name for each in table.fields), *table.refers}
    found = []
    for line in archive.read(f"{table.name}.jsonl").splitlines():
        row = json.loads(line)
        if not isinstance(row, dict) or set(row) != names or type(row["id"]) is not int:
            raise NotAHandOver(f"a row of {table.name} has not the fields that it must")
        found.append(row)
    return found


def _text(value: Any, most: int) -> str:
    if not isinstance(value, str) or not value or len(value) > most:
        raise NotAHandOver("the manifest lacks a text, or one is too long")
    return value
