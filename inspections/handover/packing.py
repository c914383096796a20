"""The file of a hand-over: rows as JSON lines, photos, and a manifest of digests."""

import hashlib
import json
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.utils.module_loading import import_string

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict
from inspections.handover import tables
from inspections.models import HandOver, VisitPhoto

FORMAT, VERSION = "machine-hand-over", 1
MANIFEST = "manifest.json"
# Of every entry, so that the same content is the same bytes.
_DAY = (1980, 1, 1, 0, 0, 0)


class PhotoMissing(Conflict):
    """A photo's file is missing or another one: nothing is given without it."""

    code = "photo-missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """A machine's rows as they go, by table, and its photos' rows."""

    lines: dict[str, bytes]
    counts: dict[str, int]
    photos: tuple[VisitPhoto, ...]

    def entries(self) -> dict[str, dict[str, Any]]:
        """Return what the manifest says of each file."""
        said = {
            f"{name}.jsonl": {"rows": self.counts[name], **_said(content)}
            for name, content in self.lines.items()
        }
        return said | {
            photo_name(photo.pk): {"bytes": photo.size_bytes, "sha256": photo.sha256}
            for photo in self.photos
        }

    def digest(self) -> str:
        """Return one digest of all of it, the same as long as nothing changed."""
        return digest_of(self.entries())


def digest_of(entries: dict[str, dict[str, Any]]) -> str:
    """Return one digest of what a manifest says of each file."""
    return hashlib.sha256(_json(entries)).hexdigest()


def collect(*, scope: Scope, machine: Machine) -> Packed:
    """Return all that goes along with a machine."""
    lines, counts = {}, {}
    photos: tuple[VisitPhoto, ...] = ()
    for table in tables.ALL:
        rows = list(table.rows(scope=scope, machine=machine))
        lines[table.name] = b"".join(_json(table.line(row)) + b"\n" for row in rows)
        counts[table.name] = len(rows)
        if table.model is VisitPhoto:
            photos = tuple(rows)
    return Packed(lines=lines, counts=counts, photos=photos)


def write(
    *, packed: Packed, hand_over: HandOver, at: datetime, target: IO[bytes]
) -> None:
    """Write the file. Raises PhotoMissing; what was written until then is void."""
    machine = hand_over.machine
    manifest = {
        "format": FORMAT,
        "version": VERSION,
        "number": str(hand_over.number),
        "at": at.isoformat(),
        "from": {
            "contractor": hand_over.contractor.name,
            "service": settings.PUBLIC_URL or "",
        },
        "to": hand_over.house,
        "owner_word": {
            "by": hand_over.word_by,
            "on": hand_over.word_on.isoformat(),
            "words": hand_over.words,
        },
        "machine": machine.code,
        "building": {
            "name": machine.building.name,
            "address": machine.building.address,
            "criteria_set": machine.building.criteria_set,
        },
        "files": packed.entries(),
    }
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in packed.lines.items():
            _put(archive, f"{name}.jsonl", content)
        for name, content in _photos(packed):
            _put(archive, name, content)
        _put(archive, "CAUTIONS.txt", import_string(settings.CAUTIONS)().encode())
        _put(archive, MANIFEST, json.dumps(manifest, indent=1).encode())


def photo_name(pk: int) -> str:
    """Return the name of a photo in the file."""
    return f"photos/{pk}"


def _photos(packed: Packed) -> Iterator[tuple[str, bytes]]:
    for photo in packed.photos:
        try:
            with default_storage.open(photo.file) as opened:
                content = opened.read()
        except FileNotFoundError as problem:
            raise PhotoMissing(f"the file of photo {photo.pk} is missing") from problem
        if hashlib.sha256(content).hexdigest() != photo.sha256:
            raise PhotoMissing(f"the file of photo {photo.pk} is not what was stored")
        yield photo_name(photo.pk), content


def _put(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    entry = zipfile.ZipInfo(name, date_time=_DAY)
    entry.compress_type = zipfile.ZIP_DEFLATED
    archive.writestr(entry, content)


def _said(content: bytes) -> dict[str, Any]:
    return {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}


def _json(value: Any) -> bytes:
    return json.dumps(
        value, ensure_ascii=False, allow_nan=False, sort_keys=True
    ).encode()
